"""Links for one phone that may give roles: once, for a short time, and only their hash is kept."""

import hashlib
import json
import os
import stat
import subprocess
import sys
import threading
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from advisor.store import StoreFault
from advisor.store.crew.invites import Invites

ROOT = Path(__file__).parents[3]


@pytest.fixture
def invites(tmp_path):
    return Invites(tmp_path)


def used(invites, code):
    with invites.claim(code) as found:
        return found


def ago(**time):
    return datetime.now(UTC) - timedelta(**time)


def test_a_link_works_once(invites):
    code = invites.make()
    assert len(invites.pending()) == 1
    assert used(invites, code)
    assert not used(invites, code)
    assert invites.pending() == []


def test_of_its_code_only_the_hash_is_kept_and_only_its_owner_reads_that(invites, tmp_path):
    code = invites.make()
    assert len(code) * 6 >= 128  # base 64
    [file] = (tmp_path / "invites").iterdir()
    assert file.name == hashlib.sha256(code.encode()).hexdigest() == invites.pending()[0].name
    assert code not in file.read_text()
    assert stat.S_IMODE(file.stat().st_mode) == 0o600
    assert stat.S_IMODE(file.parent.stat().st_mode) == 0o700


@pytest.mark.parametrize(
    ("made", "good"),
    [
        ({"minutes": 29}, True),
        ({"minutes": 30, "seconds": 1}, False),
        ({"days": 400}, False),
        ({"minutes": -1}, False),  # by a clock that was set back since
    ],
)
def test_it_ends_after_half_an_hour(invites, tmp_path, made, good):
    code = invites.make(ago(**made))
    assert used(invites, code) is good
    invites.make(ago(**made))
    assert len(invites.pending()) == good
    assert len(list((tmp_path / "invites").iterdir())) == good, "what ended is cleared away"


def test_one_whose_end_was_moved_lasts_no_longer(invites, tmp_path):
    code = invites.make(ago(minutes=40))
    [file] = (tmp_path / "invites").iterdir()
    file.write_text(json.dumps({**json.loads(file.read_text()), "until": "2999-01-01T00:00:00Z"}))
    assert not used(invites, code)


@pytest.mark.parametrize("text", ["", "{}", "[1]", "null", '{"made_at": 5, "until": "x"}', "\xff"])
def test_a_file_that_makes_no_sense_is_no_link(invites, tmp_path, text):
    code = invites.make()
    next((tmp_path / "invites").iterdir()).write_bytes(text.encode("latin-1"))
    assert not used(invites, code)
    assert invites.pending() == []


@pytest.mark.parametrize("code", ["", "x" * 22, "../secrets.json", "\0", "x" * 100_000])
def test_what_was_guessed_is_none(invites, code):
    right = invites.make()
    assert not used(invites, code)
    assert not used(invites, hashlib.sha256(right.encode()).hexdigest()), (
        "who reads the folder cannot use one"
    )
    assert len(invites.pending()) == 1


def test_what_fails_meanwhile_leaves_it_good(invites):
    code = invites.make()
    with pytest.raises(ZeroDivisionError), invites.claim(code) as found:
        assert found
        assert not used(invites, code), "meanwhile nobody else can"
        raise ZeroDivisionError
    assert used(invites, code)


def test_of_many_at_once_one_gets_it(invites):
    code, start, got = invites.make(), threading.Barrier(8), []

    def use():
        start.wait()
        got.append(used(invites, code))

    threads = [threading.Thread(target=use) for _ in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sorted(got) == [False] * 7 + [True]


def test_a_link_can_be_withdrawn(invites):
    first, second = invites.make(), invites.make()
    name = hashlib.sha256(first.encode()).hexdigest()
    assert invites.withdraw(name)
    assert not invites.withdraw(name)
    assert not used(invites, first)
    assert used(invites, second)


@pytest.mark.parametrize("name", ["", "../advisor.sqlite", "x" * 64, "A" * 64, "0" * 63])
def test_nothing_else_is_withdrawn(invites, tmp_path, name):
    (tmp_path / "advisor.sqlite").write_text("all data")
    assert not invites.withdraw(name)
    assert (tmp_path / "advisor.sqlite").read_text() == "all data"


def test_another_process_makes_one_beside_this_one(invites, tmp_path):
    command = "import sys; from pathlib import Path; from advisor.store.crew.invites import Invites; "
    command += "print(Invites(Path(sys.argv[1])).make())"
    made = subprocess.run(
        [sys.executable, "-c", command, str(tmp_path)], cwd=ROOT, capture_output=True, text=True, check=True
    )
    assert used(invites, made.stdout.strip())


def test_where_none_can_be_kept_that_is_said(tmp_path):
    (tmp_path / "invites").write_text("a file")
    with pytest.raises(StoreFault, match=r"No link was made, since .*invites cannot be written: "):
        Invites(tmp_path).make()


@pytest.mark.skipif(getattr(os, "geteuid", lambda: 1)() != 0, reason="only root gives files to others")
def test_what_root_makes_belongs_to_whom_the_data_does(invites, tmp_path):
    os.chown(tmp_path, 4321, 4322)
    invites.make()
    for path in (tmp_path / "invites", next((tmp_path / "invites").iterdir())):
        assert (path.stat().st_uid, path.stat().st_gid) == (4321, 4322)
