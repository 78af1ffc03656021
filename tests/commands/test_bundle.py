"""`advisor bundle`: a folder from which the advisor starts where there is no package index and no network.

What a wheel holds, and how it is called: PEP 427 (2012), and its record PEP 376 (2009), both from memory.
"""

import base64
import hashlib
import json
import re
import shutil
import subprocess
import sys
import zipfile
from importlib import metadata
from pathlib import Path

import pytest

from advisor import cli
from advisor.commands import bundle, bundle_start

SAYS = "def main():\n    import sys, helper\n    print(helper.NAME, sys.argv[1:])\n    return 5\n"


@pytest.fixture
def installed(tmp_path):
    """Return a small package as an installer leaves it, with a command, a compiled file and a licence."""
    root = tmp_path / "site"
    about = root / "Small_Thing-1.2.dist-info"
    (root / "advisor").mkdir(parents=True)
    (root / "__pycache__").mkdir()
    (about / "licenses").mkdir(parents=True)
    (root / "helper.py").write_text("NAME = 'small'\n")
    (root / "advisor" / "__init__.py").write_text("")
    (root / "advisor" / "cli.py").write_text(SAYS)
    shutil.copy(Path(bundle.__file__).parents[1] / "__main__.py", root / "advisor")
    (root / "__pycache__" / "helper.cpython-311.pyc").write_bytes(b"?")
    (about / "METADATA").write_text("Metadata-Version: 2.1\nName: Small-Thing\nVersion: 1.2\n")
    (about / "WHEEL").write_text(
        "Wheel-Version: 1.0\nTag: cp311-cp311-manylinux_2_28_x86_64\nTag: cp311-cp311-manylinux_2_17_x86_64\n"
    )
    (about / "licenses" / "LICENSE, both.txt").write_text("as you like")
    (about / "INSTALLER").write_text("pip")
    listed = [
        *(
            "helper.py",
            "advisor/__init__.py",
            "advisor/__main__.py",
            "advisor/cli.py",
            "__pycache__/helper.cpython-311.pyc",
        ),
        *(f"{about.name}/{name}" for name in ("METADATA", "WHEEL", "INSTALLER", "RECORD")),
        f'"{about.name}/licenses/LICENSE, both.txt"',
        "../../bin/small",
    ]
    (about / "RECORD").write_text("".join(f"{file},,\n" for file in listed))
    return metadata.Distribution.at(about)


@pytest.fixture
def bundled(tmp_path, installed, monkeypatch):
    """Return the folder of a bundle of the small package alone."""
    monkeypatch.setattr(bundle, "needed", lambda name: iter([installed]))
    to = tmp_path / "to go"
    bundle.write_bundle(to)
    return to


def start(folder, *words):
    """Start a bundle by a Python that has no other package, and answer what it said."""
    command = [sys.executable, "-I", "-S", str(folder / "advisor.pyz"), *words]
    return subprocess.run(command, capture_output=True, text=True, timeout=60)


def test_all_that_the_advisor_needs_is_in_it_and_nothing_of_the_tests():
    every = list(bundle.needed("gel-advisor"))
    names = [one.name.lower().replace("_", "-") for one in every]
    assert len(names) == len(set(names))
    for one in every:
        asked = [line for line in one.requires or () if ";" not in line]
        assert {re.match(r"[\w.-]+", line)[0].lower().replace("_", "-") for line in asked} <= {*names}
    assert {"gel-advisor", "flask", "jinja2", "numpy"} <= {*names}
    assert not {"pytest", "scipy", "playwright"} & {*names}


def test_a_wheel_is_named_and_recorded_as_an_installer_wants_it(bundled):
    [wheel] = (bundled / "wheels").iterdir()
    assert wheel.name == "Small_Thing-1.2-cp311-cp311-manylinux_2_17_x86_64.manylinux_2_28_x86_64.whl"
    with zipfile.ZipFile(wheel) as archive:
        names = archive.namelist()
        record = archive.read("Small_Thing-1.2.dist-info/RECORD").decode().splitlines()
        assert record.pop() == "Small_Thing-1.2.dist-info/RECORD,,"
        assert len(record) == len(names) - 1
        for line in record:
            name, digest, size = line.rsplit(",", 2)
            data = archive.read(name.strip('"'))
            expected = base64.urlsafe_b64encode(hashlib.sha256(data).digest()).decode().rstrip("=")
            assert (digest, int(size)) == (f"sha256={expected}", len(data))
    assert not {name for name in names if name.endswith(("INSTALLER", ".pyc", "bin/small"))}
    assert "Small_Thing-1.2.dist-info/licenses/LICENSE, both.txt" in names


def test_the_advisors_own_wheel_has_its_pages_its_gels_and_its_command(tmp_path):
    own = metadata.distribution("gel-advisor")
    (tmp_path / "wheels").mkdir()
    name = bundle._own_wheel(own, tmp_path)
    with zipfile.ZipFile(tmp_path / "wheels" / name) as archive:
        names = archive.namelist()
        [about] = [n for n in names if n.endswith("/METADATA")]
        assert f"\nVersion: {cli.version()}\n" in archive.read(about).decode()
        commands = archive.read(about.replace("METADATA", "entry_points.txt")).decode()
    for file in ("cli.py", "gels/generic.csv", "templates/base.html", "static/advisor.css", "py.typed"):
        assert f"advisor/{file}" in names
    assert commands == "[console_scripts]\nadvisor = advisor.cli:main\n"
    assert name.startswith("gel_advisor-") and name.endswith("-py3-none-any.whl")


def test_it_starts_with_nothing_installed_and_unpacks_once(bundled):
    for _ in range(2):
        answer = start(bundled, "advise", "-")
        assert (answer.stdout, answer.stderr) == ("small ['advise', '-']\n", "")
        assert answer.returncode == 5
    assert len(list(bundled.glob("unpacked-*"))) == 1


def test_a_damaged_wheel_is_told_and_leaves_nothing_half(bundled):
    [wheel] = (bundled / "wheels").iterdir()
    wheel.write_bytes(wheel.read_bytes()[:-300])
    answer = start(bundled)
    assert answer.returncode == 1 and answer.stdout == ""
    assert "cannot unpack" in answer.stderr and "Copy the whole folder again." in answer.stderr
    assert not list(bundled.glob("unpacked-*"))


def test_another_python_is_told_for_which_one_it_is(tmp_path, capsys):
    made = {**bundle_start.made_for(), "id": "0", "wheels": [], "machine": "vax", "python": "3.11.2"}
    with pytest.raises(SystemExit) as end:
        bundle_start.unpacked(tmp_path, json.loads(json.dumps(made)))
    assert "this bundle is for Python 3.11.2 on vax" in str(end.value)
    assert "advisor bundle DIR" in str(end.value)


def test_where_nobody_may_write_it_unpacks_into_the_users_own_folder(bundled, tmp_path, monkeypatch):
    monkeypatch.setattr(bundle_start.os, "access", lambda path, mode: False)
    monkeypatch.delenv("LOCALAPPDATA", raising=False)
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    with zipfile.ZipFile(bundled / "advisor.pyz") as archive:
        made = json.loads(archive.read("bundle.json"))
    folder = bundle_start.unpacked(bundled, made)
    assert folder.parent == tmp_path / "cache" / "gel-advisor"
    assert (folder / "advisor" / "cli.py").read_text() == SAYS


def test_a_folder_that_holds_something_is_left_alone(tmp_path, capsys):
    (tmp_path / "mine.txt").write_text("keep")
    assert cli.main(["bundle", str(tmp_path)]) == 1
    assert "exists already. Give a new folder, or an empty one" in capsys.readouterr().err
    assert [file.name for file in tmp_path.iterdir()] == ["mine.txt"]


def test_what_was_not_installed_from_a_wheel_is_named(tmp_path, installed, monkeypatch, capsys):
    installed.locate_file("Small_Thing-1.2.dist-info/WHEEL").unlink()
    monkeypatch.setattr(bundle, "needed", lambda name: iter([installed]))
    assert cli.main(["bundle", str(tmp_path / "to go")]) == 1
    assert "Small-Thing was not installed from a wheel" in capsys.readouterr().err
