"""The pulse of a set: its revision, what changed last, who is here; from memory where it can be."""

import json
import re
from concurrent.futures import ThreadPoolExecutor

import pytest

from advisor.model import WantedOffset, Work
from advisor.store import NotFound
from advisor.web.live import pulse as pulse_module
from advisor.web.live.pulse import Pulse
from tests.benchmarks.bench_live import beside_idle, crew, missing
from tests.benchmarks.phones import served

READING = {"cct": "5600", "duv": "0.001"}


class Clock:
    def __init__(self):
        self.now = 100.0

    def __call__(self):
        return self.now


@pytest.fixture
def clock():
    return Clock()


@pytest.fixture
def pulse(stores, sample, clock):
    return Pulse(stores.sets.db, clock)


@pytest.fixture
def ask(client, sample):
    """Ask for the pulse as a phone of somebody."""

    def send(who="", etag="", set_id=sample):
        client.set_cookie("who", who)
        headers = {"If-None-Match": etag} if etag else {}
        return client.get(f"/live/{set_id}", headers=headers)

    return send


def said(beat):
    return json.loads(beat.body)


def test_a_phone_is_told_the_revision_and_the_last_change(ask, stores):
    stores.sets.by("Mia").delete_source(5)
    now = ask("Jo").json
    assert now["revision"] == stores.sets.get_set(1).revision == 2
    assert (now["who"], now["what"], now["here"]) == ("Mia", "removed Backlight", ["Jo"])
    assert now["at"] == stores.sets.history(1)[-1].at


def test_what_is_known_already_is_not_sent_again(ask):
    first = ask("Jo")
    again = ask("Jo", first.headers["ETag"])
    assert (again.status_code, again.data, again.headers["ETag"]) == (304, b"", first.headers["ETag"])
    assert again.headers["Cache-Control"] == "no-store"


def test_a_weak_tag_is_the_same(ask):
    assert ask("Jo", f"W/{ask('Jo').headers['ETag']}").status_code == 304


def test_a_write_is_told(ask, post):
    etag = ask("Jo").headers["ETag"]
    post("/sources/5/reading", READING)
    answer = ask("Jo", etag)
    assert answer.status_code == 200
    assert (answer.json["revision"], answer.json["what"]) == (2, "read Backlight")
    assert (answer.json["name"], answer.json["source"]) == ("Backlight", 5)


def test_another_gel_table_is_told_since_every_plan_follows_from_it(ask, post):
    first = ask("Jo")
    post("/gels/switch", {"name": "CTO 1/4", "on": ""})
    answer = ask("Jo", first.headers["ETag"])
    assert answer.json["gels"] == first.json["gels"] + 1
    assert answer.json["revision"] == first.json["revision"]


def test_the_unchanged_path_does_not_touch_the_store(ask, monkeypatch, stores):
    etag = ask("Jo").headers["ETag"]
    statements = []
    conn = stores.sets.db._mine()
    conn.set_trace_callback(statements.append)
    monkeypatch.setattr(pulse_module, "latest", lambda *_: pytest.fail("the store was asked"))
    for _ in range(3):
        assert ask("Jo", etag).status_code == 304
    conn.set_trace_callback(None)
    assert statements == []


def test_who_asks_is_here_for_a_while(pulse, clock):
    pulse.beat(1, "Mia")
    clock.now += 9
    assert said(pulse.beat(1, "Jo"))["here"] == ["Jo", "Mia"]
    clock.now += 1
    assert said(pulse.beat(1, "Jo"))["here"] == ["Jo"]
    assert said(pulse.beat(1, ""))["here"] == ["Jo"]


def test_who_comes_and_goes_changes_the_tag(pulse, clock):
    alone = pulse.beat(1, "Jo").etag
    assert pulse.beat(1, "Mia").etag != alone
    clock.now += 10
    assert pulse.beat(1, "Jo").etag == alone


def test_no_more_names_are_kept_than_a_crew_has(pulse):
    for k in range(65):
        pulse.beat(1, f"Phone {k}")
    assert len(said(pulse.beat(1, "One more"))["here"]) == 60


def test_sets_do_not_hear_of_each_other(pulse, stores):
    other = stores.sets.days.duplicate(1)
    pulse.beat(1, "Mia")
    assert said(pulse.beat(other, "Jo"))["here"] == ["Jo"]
    before = pulse.beat(1, "Mia").etag
    stores.sets.delete_source(stores.sets.get_set(other).sources[0].id)
    assert pulse.beat(1, "Mia").etag == before


@pytest.mark.parametrize("path", ["/live/99", "/live/99999999999999999999"])
def test_a_set_that_is_not_there_has_no_pulse(client, path):
    assert client.get(path).status_code == 404


def test_a_removed_set_has_none_until_it_is_brought_back(pulse, stores):
    pulse.beat(1, "Jo")
    stores.sets.delete_set(1)
    with pytest.raises(NotFound):
        pulse.beat(1, "Jo")
    stores.sets.by("Mia").restore_set(1)
    now = said(pulse.beat(1, "Jo"))
    assert (now["who"], now["what"]) == ("Mia", "brought the set back")


def test_every_kind_of_change_is_said(pulse, stores):
    sets = stores.sets
    found = [said(pulse.beat(1, ""))["what"]]

    def after(_):
        found.append(said(pulse.beat(1, ""))["what"])

    after(sets.update_set(1, note="new"))
    source = sets.get_source(6).source
    after(sets.update_source(6, source.model_copy(update={"aim": WantedOffset(leave=True)})))
    after(sets.add_reading(6, source.reading))
    after(sets.add_source(1, source.model_copy(update={"name": "Neon"})))
    after(sets.delete_source(6))
    after(sets.restore_source(6))
    assert found == [
        "added Shelf lamps",
        "changed the set",
        "changed Shelf lamps",
        "read Shelf lamps",
        "added Neon",
        "removed Shelf lamps",
        "brought back Shelf lamps",
    ]
    whole = sets.whole
    restored = whole.restore(whole.export(1, []), copy=True)
    assert said(pulse.beat(restored, ""))["what"] == "imported the set"


def test_no_phone_is_told_an_older_revision_after_a_newer(stores, sample):
    pulse = Pulse(stores.sets.db)
    reading = stores.sets.get_source(1).source.reading

    def poll(_):
        seen = [said(pulse.beat(1, "Jo"))["revision"] for _ in range(40)]
        return seen == sorted(seen)

    with ThreadPoolExecutor(5) as pool:
        writes = [pool.submit(stores.sets.add_reading, 1, reading) for _ in range(30)]
        assert all(pool.map(poll, range(4)))
        [w.result() for w in writes]
    assert said(pulse.beat(1, "Jo"))["revision"] == 31


@pytest.mark.parametrize("path", ["/sets/1", "/sets/1/compare", "/sets/1/light", "/sources/5"])
def test_a_page_of_a_set_asks_for_its_pulse_and_knows_its_parts(shipped, get, stores, path):
    html = get(path).html
    revision = stores.sets.get_set(1).revision
    assert f'data-pulse="/live/1" data-revision="{revision}"' in html
    keys = re.findall(r'<\w[^<>]* data-live="([^"]+)"', html)  # of elements: the styles name some too
    assert len(keys) >= 3
    assert len(keys) == len(set(keys))


@pytest.mark.parametrize(("path", "sources"), [("/sets/1", 6), ("/sets/1/compare", 6)])
def test_every_part_of_a_list_has_a_key(shipped, get, path, sources):
    part = "".join(re.findall(r'data-live-list="[^"]+">(.*?)\n</ul>', get(path).html, re.DOTALL))
    parts = re.findall(r"<li\b", re.sub(r"<ol.*?</ol>", "", part, flags=re.DOTALL))
    assert len(parts) == len(re.findall(r'<li [^>]*data-live="source-', part)) == sources


def test_other_pages_have_a_bar_that_asks_for_nothing(client, get):
    html = get("/gels").html
    assert 'id="status"' in html
    assert 'data-pulse="' not in html


def test_whether_there_is_a_link_can_be_asked(client):
    assert client.get("/live").json == {}


def test_a_crew_of_phones_loses_no_write(tmp_path):
    with served(tmp_path) as port:
        felt = crew(port, phones=10, seconds=3.0, poll=0.2, write=0.5)
        assert beside_idle(port, 600)
    assert felt.wrong == []
    assert len(felt.polls) > 100
    assert len(felt.acknowledged) > 40
    assert missing(tmp_path, felt) == []


def test_what_was_done_to_a_head_is_told_as_such(pulse, stores, sample):
    head = stores.sets.get_set(sample).sources[0]
    for stage, gels, told in (
        ("planned", ["CTO 1/4"], "planned Shop window"),
        ("hung", ["CTO 1/4"], "hung Shop window"),
        ("hung", [], "changed Shop window"),
    ):
        work = Work(stage=stage, gels=gels)
        stores.sets.update_source(head.id, head.source.model_copy(update={"work": work}))
        assert json.loads(pulse.beat(sample, "").body)["what"] == told
    stores.sets.update_source(head.id, head.source.model_copy(update={"work": work, "note": "by the door"}))
    assert json.loads(pulse.beat(sample, "").body)["what"] == "changed Shop window"


def test_a_head_that_somebody_takes_is_told_though_the_set_stays_as_it_is(pulse, stores, sample):
    before = said(pulse.beat(1, "Jo"))
    stores.taken.take(2, "phone 1", "Bo")
    after = said(pulse.beat(1, "Jo"))
    assert after["taken"] != before["taken"] == ""
    assert after["revision"] == before["revision"]
    stores.taken.free(2)
    assert said(pulse.beat(1, "Jo"))["taken"] == ""
