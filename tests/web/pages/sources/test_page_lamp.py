"""A lamp that died during the take: nobody waits for its head, its gel stays up, and another one is new."""

import re
from datetime import UTC, datetime, timedelta

import pytest

from advisor.advice.overview.pairs import worst_pair
from advisor.model import Kind, Lamp, LightSet, Reading, Role, Source, Stage, Target, Work
from advisor.model.basis.base import utc_text
from advisor.store.sets.latest import latest
from advisor.web.plans.kept import plan_for

HALF = "CTO 1/2"


def _lit(name, cct, **more):
    return Source(name=name, kind="led-white", reading=Reading(cct=cct, duv=0.0, lux=200), **more)


@pytest.fixture
def owner(stores):
    """A key, a fill, and a practical under gel that was read behind it."""
    behind = Reading(cct=3900, duv=0.001, lux=140, gels=[HALF])
    hung = Work(stage=Stage.HUNG, gels=[HALF], read_bare=Reading(cct=5600, duv=0.0, lux=200))
    sources = [
        _lit("Key", 3200, role=Role.KEY),
        _lit("Fill", 3300, role=Role.FILL),
        _lit("Bar", 5600, role=Role.PRACTICAL, readings=[behind], work=hung, on_subject=True),
    ]
    return stores.sets.create_set(LightSet(name="Stage", target=Target(cct=3200), sources=sources))


@pytest.fixture
def bar(owner, stores):
    return stores.sets.get_set(owner).sources[2].id


@pytest.fixture
def tap(bar, post, stores):
    def press(action):
        return post(f"/sources/{bar}/lamp", {"action": action, "revision": str(_revision(stores, bar))})

    return press


def _revision(stores, source_id):
    return stores.sets.get_source(source_id).revision


def _buttons(page):
    return set(re.findall(r"<button[^>]*>([^<]*)", page.html))


def _plan(client, stores, owner):
    with client.application.test_request_context():
        return plan_for(stores.sets.get_set(owner))


def test_it_is_out_with_one_tap_and_stands_with_those_left_alone(bar, owner, tap, get):
    assert "Lamp out" in _buttons(get(f"/sources/{bar}"))
    page = tap("out")
    assert "Lamp out" in page.text and "½ CTO stays up." in page.text
    assert "Lamp is back" in _buttons(page)
    assert "After:" not in page.text and "Reads " not in page.text
    assert not {"Lamp out", "Confirm as it is", "All taken off"} & _buttons(page)
    board = get(f"/sets/{owner}").text
    assert "½ CTO up" in board
    assert "left alone" in board.lower()


def test_nobody_waits_for_it(bar, owner, tap, client, stores):
    before = _plan(client, stores, owner)
    assert 2 in (worst_pair(before, gelled=False).first, worst_pair(before, gelled=False).second)
    tap("out")
    plan = _plan(client, stores, owner)
    pair = worst_pair(plan, gelled=False)
    assert {pair.first, pair.second} == {0, 1}
    assert plan.heads[2].due is None and plan.heads[2].swap is None


@pytest.mark.parametrize("path", ["", "/light", "/compare", "/order", "/pulls", "/plans", "/sheet", "/tags"])
def test_every_page_of_its_set_opens(path, owner, tap, get):
    tap("out")
    assert get(f"/sets/{owner}{path}").status == 200


def test_it_gives_no_light(owner, tap, get):
    assert "Bar" not in get(f"/sets/{owner}/light").text.partition("Not in the mix")[2][:80]
    tap("out")
    assert "Not in the mix: Bar has its lamp out." in get(f"/sets/{owner}/light").text


def test_its_gel_stays_in_the_stock(owner, tap, get, stores):
    tap("out")
    up = next(one for one in stores.sets.get_set(owner).sources if one.source.name == "Bar")
    assert up.source.hanging == [HALF]
    assert "½ CTO" in get(f"/sets/{owner}/pulls").text


def test_another_lamp_is_another_light(bar, tap, get, stores):
    tap("out")
    page = tap("back")
    assert (
        "Another lamp since" in page.text
        and "Meter it, with the gel on or bare. ½ CTO stays up." in page.text
    )
    assert "No bare reading of it counts" not in page.text  # that is said already
    assert "Confirm as it is" not in _buttons(page), "nobody read that lamp"
    now = stores.sets.get_source(bar)
    assert not now.source.reading.said and now.source.readings == []
    assert now.source.work.read_bare is None and now.source.hanging == [HALF]
    assert page.text.count("another lamp") >= 2  # each of its readings, in the list
    stores.sets.add_reading(bar, Reading(cct=4800, duv=0.0, lux=180))
    assert stores.sets.get_source(bar).source.reading.cct == 4800


def test_a_lamp_that_was_changed_at_once_is_another_light_with_one_tap(bar, tap, get, stores):
    assert "Lamp changed" in _buttons(get(f"/sources/{bar}"))
    page = tap("changed")
    assert (
        "Another lamp since" in page.text
        and "Meter it, with the gel on or bare. ½ CTO stays up." in page.text
    )
    assert latest(stores.sets.db, 1).what == "source.lamp"
    now = stores.sets.get_source(bar).source
    assert not now.lamp_out and not now.reading.said and now.hanging == [HALF]
    tap("same")
    assert stores.sets.get_source(bar).source.reading.cct == 5600


def test_what_only_the_work_still_tells_is_of_the_old_lamp_too(bar, tap, get, stores):
    """A file may hold what was read behind gel in its work alone."""
    now = stores.sets.get_source(bar).source
    found = Reading(cct=3950, duv=0.0, lux=130, gels=[HALF])
    confirmed = now.work.model_copy(update={"stage": Stage.CONFIRMED, "read_behind": found})
    stores.sets.change_source(bar, {"work": confirmed})
    tap("out")
    tap("back")
    work = stores.sets.get_source(bar).source.work
    assert work.read_behind is None and work.stage is Stage.HUNG and work.gels == [HALF]
    assert "metered" not in get(f"/sources/{bar}").text


def test_what_is_read_behind_of_the_new_lamp_counts(bar, tap, post, stores):
    tap("out")
    tap("back")
    post(f"/sources/{bar}/reading", {"cct": "5000", "duv": "0", "lux": "190", "behind": "bare"})
    said = {"cct": "3700", "duv": "0.001", "lux": "130", "behind": "hung", "hung": HALF}
    post(f"/sources/{bar}/reading", said)
    work = stores.sets.get_source(bar).source.work
    assert work.read_behind is not None and work.read_behind.cct == 3700


def test_it_was_the_same_lamp(bar, tap, stores):
    was = stores.sets.get_source(bar).source
    tap("out")
    tap("back")
    page = tap("same")
    assert stores.sets.get_source(bar).source == was
    assert "Another lamp since" not in page.text


def test_the_third_lamp_may_be_the_second(bar, tap, stores):
    tap("out")
    tap("back")
    stores.sets.add_reading(bar, Reading(cct=4800, duv=0.0))
    tap("out")
    tap("back")
    assert not stores.sets.get_source(bar).source.reading.said
    tap("same")
    assert stores.sets.get_source(bar).source.reading.cct == 4800


def test_what_is_metered_burns(bar, owner, tap, post, get, stores):
    tap("out")
    post(f"/sources/{bar}/reading", {"cct": "5000", "duv": "0", "behind": "bare"})
    now = stores.sets.get_source(bar).source
    assert not now.lamp_out and now.reading.cct == 5000 and now.bare_readings == [now.reading]
    assert "Same lamp" in _buttons(get(f"/sources/{bar}"))


def test_a_reading_from_before_it_died_comes_in_late(bar, stores):
    for seconds, out in ((60, True), (-60, False)):
        died = utc_text(datetime.now(UTC) + timedelta(seconds=seconds))
        stores.sets.change_source(bar, {"lamp": Lamp(out=died)})
        stores.sets.add_reading(bar, Reading(cct=4700, duv=0.0))
        assert stores.sets.get_source(bar).source.lamp_out is out


def test_the_record_tells_it_and_undoes_it(bar, owner, tap, get, post, stores):
    tap("out")
    line = stores.sets.record.lines(owner, 1)[0]
    assert line.told.line == "Bar: lamp out" and line.stands
    post(f"/changes/{line.change.id}/undo", {})
    assert stores.sets.get_source(bar).source.lamp is None
    tap("out")
    tap("back")
    assert stores.sets.record.lines(owner, 1)[0].told.line == "Bar: lamp is back"
    tap("same")
    assert stores.sets.record.lines(owner, 1)[0].told.line == "Bar: the same lamp"


def test_what_is_no_step_is_refused(bar, tap):
    page = tap("explode")
    assert page.status == 422 and "out, back, changed, same" in page.text


def test_of_a_window_all_pages_say_that_its_light_is_gone(bar, owner, tap, get, stores):
    """Daylight has no lamp: the history, the news of other phones, Compare and Light say so."""
    stores.sets.change_source(bar, {"kind": Kind.DAYLIGHT})
    tap("out")
    assert stores.sets.record.lines(owner, 1)[0].told.line == "Bar: light gone"
    assert latest(stores.sets.db, owner).what == "source.gone"
    assert "Not in the mix: Bar has no light now." in get(f"/sets/{owner}/light").text
    assert "Light gone, not counted" in get(f"/sets/{owner}/compare").text
    tap("back")
    assert stores.sets.record.lines(owner, 1)[0].told.line == "Bar: light is back"
    assert latest(stores.sets.db, owner).what == "source.day"
