"""A phone says when it took what it sends, by its own clock; the laptop files it there."""

from datetime import UTC, datetime, timedelta
from typing import ClassVar

import pytest

from advisor.model import Reading, Stage, Work
from advisor.model.basis.base import utc_text
from tests.web.page import Page

READING = {"cct": "5600", "duv": "0.001"}
HOUR = 3600.0


def clock(age=HOUR, off=0.0):
    """What a phone says whose clock is so much off, of what it took some time ago. [s]"""
    now = datetime.now(UTC).timestamp() + off
    return {"taken": str(round((now - age) * 1000)), "sent": str(round(now * 1000))}


def ago(seconds):
    return utc_text(datetime.now(UTC) - timedelta(seconds=seconds))


@pytest.fixture
def old(stores, sample):
    """The set is there since yesterday."""
    with stores.sets.db.write() as conn:
        conn.execute("UPDATE changes SET at = ?", (ago(24 * HOUR),))
    return sample


@pytest.fixture
def send(client):
    return lambda data, path="/sources/5/reading", **said: Page(
        client.post(path, data={**READING, **data, **said}, follow_redirects=True)
    )


@pytest.fixture
def newest(stores):
    return lambda: max(stores.sets.readings_of(5), key=lambda r: r.id)


def seconds_ago(at):
    return (datetime.now(UTC) - datetime.fromisoformat(at)).total_seconds()


@pytest.mark.parametrize("off", [0, 3 * HOUR, -40 * 365 * 24 * HOUR, 0.4])
def test_a_clock_that_is_off_is_corrected_by_what_it_says_when_it_sends(old, send, newest, off):
    send({}, **clock(HOUR, off))
    kept = newest()
    assert kept.reading.cct == 5600 and kept.sent_at
    assert seconds_ago(kept.taken_at) == pytest.approx(HOUR, abs=60)
    assert seconds_ago(kept.sent_at) == pytest.approx(0, abs=60)


def test_an_older_one_does_not_overrule_a_newer_one_and_the_record_says_both_times(old, send, stores, get):
    stores.sets.by("Mia").add_reading(5, Reading(cct=3100, duv=0.001))
    page = send({}, **clock())
    assert "Reads 3 100 K" in page.text
    assert stores.sets.get_source(5).source.reading.cct == 3100
    listed = get("/sets/1/record").text.split("Another laptop")[1]
    assert listed.index("3 100 K") < listed.index("5 600 K")  # as it was taken
    assert "taken" in listed.split("5 600 K")[1] and ", sent " in listed.split("5 600 K")[1]
    head = page.text.split("readings")[1]
    assert head.index("3 100 K") < head.index("5 600 K")  # as it was taken
    assert ", sent " in head[head.index("3 100 K") : head.index("5 600 K")]


def test_what_comes_at_once_says_one_time(old, send, newest, get):
    send({}, **clock(0.05))
    assert newest().sent_at == ""
    assert "sent" not in get("/sets/1/record").text.split("Strike out")[0].split("Another laptop")[1]


@pytest.mark.parametrize(
    "said",
    [
        {},
        {"taken": "", "sent": ""},
        {"taken": "yesterday", "sent": "now"},
        {"taken": "1e3", "sent": "2e3"},
        {"taken": "-5", "sent": "5"},
        {"taken": "9" * 17, "sent": "9" * 17},
        {"taken": "1000"},
        {"sent": "1000"},
        {"taken": "0", "sent": "9" * 16},  # longer ago than there are years
        clock(-HOUR),  # in the future
        clock(48 * HOUR),  # before the set was there
    ],
)
def test_a_time_that_says_nothing_loses_no_reading(old, send, newest, stores, said):
    assert send({}, **said).status == 200
    kept = newest()
    assert (kept.reading.cct, kept.sent_at) == (5600, "")
    assert seconds_ago(kept.taken_at) == pytest.approx(0, abs=60)
    assert stores.sets.get_source(5).source.reading.cct == 5600


def test_a_source_that_is_sent_late_was_read_when_it_was(old, send, stores):
    send({"name": "Lamp"}, "/sets/1/sources/new", **clock())
    [stored] = [s for s in stores.sets.get_set(1).sources if s.source.name == "Lamp"]
    assert seconds_ago(stored.taken_at) == pytest.approx(HOUR, abs=60)


def test_a_refused_one_gives_back_what_was_typed_and_no_times(old, send):
    page = send({"cct": "56000"}, **clock())
    assert page.status == 422 and page.fields["cct"] == "56000"
    assert "taken" not in page.fields and "sent" not in page.fields


class TestPressed:
    """What hangs is said with its time too: readings behind it, sent in one go, are later than it."""

    PRESS: ClassVar = {"action": "hung", "stack": '{"gels": ["CTB 1/4"]}'}

    @pytest.fixture
    def pressed(self, old, send):
        return send(self.PRESS, "/sources/5/work", **clock(180))

    def test_the_press_keeps_its_own_time(self, pressed, stores, get):
        assert stores.sets.work_at(5, ago(190)) is None
        assert stores.sets.work_at(5, ago(170)).gels == ["CTB 1/4"]
        assert seconds_ago(stores.sets.hangs_since(5, ["CTB 1/4"])) == pytest.approx(180, abs=60)
        for page in (pressed, get("/sets/1/record"), get("/sets/1/record?source=5")):
            assert "sent" in page.text.split("pressed")[1][:40]

    def test_what_was_read_behind_it_counts(self, pressed, send, stores):
        page = send({"behind": "hung", "hung": "CTB 1/4"}, **clock(120))
        assert page.status == 200 and stores.sets.get_source(5).source.work.read_behind.cct == 5600

    def test_where_no_choice_was_offered_it_is_never_bare_by_itself(self, pressed, send, stores):
        page = send({}, **clock(120))
        assert page.status == 422 and "¼ CTB hangs on it now" in page.alerts[0]
        assert send({"cct": "3150"}, **clock(240)).status == 200  # before anything hung
        assert [r.reading.gels for r in stores.sets.readings_of(5) if r.reading.cct == 3150] == [[]]

    def test_the_record_is_in_the_order_in_which_it_was_done(self, pressed, send, stores, get):
        stores.sets.by("Mia").add_reading(5, Reading(cct=3100, duv=0.001))
        send({"behind": "hung", "hung": "CTB 1/4"}, **clock(120))
        done = get("/sets/1/record?source=5").text.split("Record of")[1]
        assert done.index("3 100 K") < done.index("5 600 K") < done.index("hung: ¼ CTB")

    def test_what_is_pressed_at_once_says_one_time(self, old, send):
        assert "pressed" not in send(self.PRESS, "/sources/5/work", **clock(0.05)).text


class TestBehindGels:
    """What hangs may have been changed while a phone had no link."""

    HALF, QUARTER = (Work(stage=Stage.HUNG, gels=[name]) for name in ("CTB 1/2", "CTB 1/4"))

    @pytest.fixture
    def hang(self, old, stores):
        def change(work, hours):
            stores.sets.change_source(5, {"work": work})
            with stores.sets.db.write() as conn:
                last = "SELECT max(id) FROM changes"
                conn.execute(f"UPDATE changes SET at = ? WHERE id = ({last})", (ago(hours * HOUR),))

        return change

    def test_it_was_read_behind_what_hung_then(self, hang, send, stores, newest):
        hang(self.HALF, 3)
        hang(self.QUARTER, 1)
        page = send({"behind": "hung", "hung": "CTB 1/2"}, **clock(2 * HOUR))
        assert page.status == 200 and newest().reading.gels == ["CTB 1/2"]
        assert stores.sets.get_source(5).source.work == self.QUARTER

    def test_it_was_read_bare_before_anything_hung(self, hang, send, stores, newest):
        hang(self.QUARTER, 1)
        assert send({}, **clock(2 * HOUR)).status == 200
        assert newest().reading.gels == []
        assert stores.sets.get_source(5).source.work == self.QUARTER

    def test_what_does_not_fit_what_hung_then_is_asked_about(self, hang, send, stores):
        hang(self.QUARTER, 1)
        page = send({"behind": "hung", "hung": "CTB 1/2"}, **clock(2 * HOUR))
        assert page.status == 422 and "¼ CTB hangs on it now" in page.alerts[0]
        assert stores.sets.get_source(5).readings == 1

    def test_an_older_one_behind_the_same_is_not_the_one_found(self, hang, send, stores):
        hang(self.QUARTER, 3)
        behind = {"behind": "hung", "hung": "CTB 1/4"}
        send({**behind, "cct": "3600"})
        found = stores.sets.get_source(5).source.work
        send({**behind, "cct": "3900"}, **clock(2 * HOUR))
        now = stores.sets.get_source(5)
        assert now.source.work == found and found.read_behind.cct == 3600
        assert now.behind.reading.cct == 3600 and now.readings == 3

    def test_one_at_another_level_is_kept_beside_it(self, hang, send, stores):
        hang(self.QUARTER, 3)
        behind = {"behind": "hung", "hung": "CTB 1/4"}
        send({**behind, "cct": "3600", "level": "100"})
        send({**behind, "cct": "3300", "level": "20"}, **clock(2 * HOUR))
        work = stores.sets.get_source(5).source.work
        assert (work.read_behind.level, [r.level for r in work.read_elsewhere]) == (100, [20])


def test_what_is_picked_over_a_newer_reading_is_meant_now(old, send, get, stores):
    """Bo corrected the reading an hour ago without a link, and says “Use mine” over what Mia read since."""
    page = get("/sources/5/edit")
    seen = {**page.fields, **dict(page.ticked)}
    stores.sets.by("Mia").add_reading(5, Reading(cct=3100, duv=0.001))
    asked = send({**seen, "cct": "3000"}, "/sources/5/edit", **clock())
    assert asked.status == 409 and stores.sets.get_source(5).readings == 2
    send({**asked.fields, "pick_reading": "mine"}, "/sources/5/edit", **clock())
    assert stores.sets.get_source(5).source.reading.cct == 3000
