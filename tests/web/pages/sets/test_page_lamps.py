"""The lamps to ask for: on their own page, on the board and on the head."""

import re

import pytest

import advisor
from advisor.advice.plan.another_lamp import OtherLamp, PoorGel
from advisor.model import Kind, LightSet, Limits, Reading, Role, Source, Stage, Target, Work
from advisor.web.plans.onward.lamps_said import why_said


def bulb(name, **fields):
    return Source(name=name, kind=Kind.TUNGSTEN, reading=Reading(cct=2700, duv=0), **fields)


@pytest.fixture
def bar(stores):
    """A bar in daylight: a street lamp, a bulb over the table, and a window."""
    street = Source(name="Street", kind=Kind.SODIUM, reading=Reading(cct=2050, duv=0.002))
    window = Source(name="Window", kind=Kind.DAYLIGHT, reading=Reading(cct=6000, duv=0.003))
    sources = [street, bulb("Table", role=Role.PRACTICAL), window]
    return stores.sets.create_set(LightSet(name="Bar", target=Target(cct=5600), sources=sources))


def test_practicals_come_first_with_what_a_shop_understands(bar, get):
    page = get(f"/sets/{bar}/lamps")
    assert page.heading == "2 lamps to ask for"
    names = re.findall(r"<h2>(\w+)</h2>", page.html)
    assert names == ["Table", "Street"]
    text = page.text.replace("\N{NARROW NO-BREAK SPACE}", " ").replace("\N{NO-BREAK SPACE}", " ")
    reads = r"It fits if it reads 5 \d\d0 to 5 \d\d0 K, Duv \+0\.00\d+ to \+0\.00\d+\."
    assert re.search(rf"Ask for a bulb of 5 600 K\. {reads}", text), "first what is printed on a box"
    assert re.search(rf"Ask for a lamp of 5 600 K\. {reads}", text)
    assert "Ask for the same fitting. No more watts than its holder is marked for." in text
    assert "Ra 90 or more, R9 50 or more." in text
    assert re.search(r"⅛ CTO: 6 500 K, if it reads 6 \d\d0 to 6 \d\d0 K, Duv ", text), "a box that reaches it"
    assert "¼ CTO:" not in text, "nobody sells a lamp that comes in behind it"
    assert "Cut the power and let the lamp cool before you change it." in text
    assert "Hot face" in text


def test_where_each_needs_a_sheet_the_first_that_is_sold_is_asked_for_with_it(stores, get):
    street = Source(name="Street", kind=Kind.SODIUM, reading=Reading(cct=2050, duv=0.002))
    target = Target(cct=3770, locus="planckian", duv_offset=0.001)
    set_id = stores.sets.create_set(LightSet(name="Bar", target=target, sources=[street]))
    text = get(f"/sets/{set_id}/lamps").text.replace("\N{NARROW NO-BREAK SPACE}", " ")
    assert re.search(
        r"Behind ⅛ CTO: ask for a lamp of 4 000.K\. It fits if it reads 3 \d+ to 4 \d+.K, Duv ", text
    )
    assert "Ask for a" not in text and "¼ CTO:" not in text


def test_the_board_and_the_head_lead_there(bar, get, stores):
    board = get(f"/sets/{bar}")
    assert "Ask for another lamp: Table and Street" in board.text
    assert f"/sets/{bar}/lamps" in board.links
    ids = [one.id for one in stores.sets.get_set(bar).sources]
    head = get(f"/sources/{ids[1]}")
    assert "Ask for a bulb of" in head.text
    assert f"/sets/{bar}/lamps" in head.links
    assert "Ask for a" not in get(f"/sources/{ids[2]}").text


def test_where_no_lamp_that_is_sold_comes_in_none_is_asked_for(stores, get):
    street = Source(name="Street", kind=Kind.SODIUM, reading=Reading(cct=2050, duv=0.002))
    target = Target(cct=3770, duv_offset=0.012)
    set_id = stores.sets.create_set(LightSet(name="Bar", target=target, sources=[street]))
    page = get(f"/sets/{set_id}/lamps")
    assert page.heading == "No lamp on sale is sure to come close"
    text = page.text.replace("\N{NARROW NO-BREAK SPACE}", " ").replace("\N{NO-BREAK SPACE}", " ")
    assert "For Street, one of 4 000 K comes nearer than gel." in text
    assert "another lamp" not in get(f"/sets/{set_id}").text


@pytest.mark.parametrize(
    ("within", "said"), [(0.4, "Gel brings it close 4 in 10 at best."), (0.02, "Gel can’t fix it.")]
)
def test_gel_that_may_do_is_not_said_to_be_unable(within, said):
    """Beside “a bit off, 4 in 10 it’s close” nobody believes that gel can’t fix it."""
    told = why_said(OtherLamp(0, PoorGel.OFF, False, 1.3, 2, (), within))
    assert told.replace("\N{NO-BREAK SPACE}", " ") == said


def test_where_gel_does_it_no_lamp_is_asked_for(stores, get):
    window = Source(name="Window", kind=Kind.DAYLIGHT, reading=Reading(cct=6000, duv=0.003))
    set_id = stores.sets.create_set(LightSet(name="Room", target=Target(cct=5600), sources=[window]))
    assert get(f"/sets/{set_id}/lamps").heading == "Gel can do every source"
    assert "other lamp" not in get(f"/sets/{set_id}").text.replace("Other lamps", "")


def test_a_practical_of_a_kind_that_nobody_said_is_no_bulb(stores, get):
    """It may be a panel in a sign: only of a kind that is known is a bulb asked for."""
    lamp = Source(name="Sign", reading=Reading(cct=2700, duv=0.0), role=Role.PRACTICAL, no_gel="other")
    key = Source(name="Key", kind=Kind.DAYLIGHT, reading=Reading(cct=5600, duv=0.003))
    number = stores.sets.create_set(LightSet(name="Bar", target=Target(cct=5600), sources=[lamp, key]))
    text = get(f"/sets/{number}/lamps").text
    assert "Ask for a lamp of" in text and "a bulb" not in text


def test_where_no_bulb_is_sold_for_it_one_behind_a_sheet_is_told_first(stores, get):
    """Bulbs come in no 4 300 K (common practice, no source): one of 4 000 K wants some 17 mired of CTB."""
    lamp = Source(
        name="Hall", kind=Kind.LED_WHITE, reading=Reading(cct=2410, duv=0.0032), role=Role.PRACTICAL
    )
    white = Target(cct=4300, locus="planckian")
    number = stores.sets.create_set(LightSet(name="Bar", target=white, sources=[lamp]))
    told = "Behind ⅛ CTB: ask for a bulb of 4 000 K"
    page = get(f"/sets/{number}/lamps")
    assert told in page.text.replace("\N{NARROW NO-BREAK SPACE}", " ") and "Lamp changed" in page.text
    [source] = stores.sets.get_set(number).sources
    head = get(f"/sources/{source.id}")
    assert told in head.text.replace("\N{NARROW NO-BREAK SPACE}", " ") and "Lamp changed" in head.text


def test_what_was_confirmed_with_much_gel_is_told_as_it_is(stores, get):
    """Nobody is asked for a lamp there any more. But gel does not do it in two layers."""
    four = Work(stage=Stage.CONFIRMED, gels=["CTB full", "CTB 1/4", "CTB 1/8", "Minus green 1/8"])
    kept = four.model_copy(update={"read_bare": Reading(cct=2700, duv=0)})
    sources = [bulb("Reading lamp", role=Role.PRACTICAL, work=kept)]
    set_id = stores.sets.create_set(LightSet(name="Library", target=Target(cct=5600), sources=sources))
    page = get(f"/sets/{set_id}/lamps")
    assert page.heading == "No lamp to ask for"
    assert "two layers at most" not in page.text
    assert "Confirmed, or daylight: Reading lamp (4 layers, " in page.text


def test_where_gel_does_it_that_is_said(stores, get):
    lamp = Source(name="Panel", kind=Kind.LED_WHITE, reading=Reading(cct=5600, duv=0.003))
    set_id = stores.sets.create_set(LightSet(name="Library", target=Target(cct=5600), sources=[lamp]))
    page = get(f"/sets/{set_id}/lamps")
    assert page.heading == "Gel can do every source"
    assert "two layers at most, under two stops" in page.text and "Confirmed, or" not in page.text


@pytest.fixture
def cellar(stores):
    """A bulb in a cellar behind the one sheet that there is, which leaves it far off, as predicted."""
    bare = Reading(cct=2750, duv=-0.0005)
    after = advisor.predict(2750, -0.0005, ["CTB full"], kind="tungsten").after
    read = Reading(cct=after.cct, duv=after.duv, gels=["CTB full"])
    hung = Work(stage=Stage.HUNG, gels=["CTB full"], read_bare=bare, read_behind=read)
    lamp = Source(name="Lamp", kind=Kind.TUNGSTEN, reading=bare, readings=[read, bare], work=hung)
    limits = Limits(only_gels=["CTB full"], max_layers=1)

    def at(**target):
        return stores.sets.create_set(
            LightSet(name="Cellar", target=Target(**target), sources=[lamp], limits=limits)
        )

    return at


@pytest.mark.parametrize(
    ("white", "asked"),
    [
        ({"cct": 6330, "duv_offset": 0.0037}, "Ask for a lamp of 6 500 K."),
        ({"cct": 6330, "duv_offset": 0.006}, "Behind ⅛ plus green: ask for a lamp of 6 500 K."),
        ({"cct": 6330, "duv_offset": 0.02}, "For Lamp, one of 5 600 K comes nearer than gel."),
        ({"cct": 4400, "duv_offset": -0.02}, "No lamp on sale does better for Lamp."),
    ],
)
def test_a_head_says_to_take_another_lamp_only_where_the_page_of_lamps_has_one(
    cellar, get, stores, white, asked
):
    set_id = cellar(locus="planckian", **white)
    lamps = get(f"/sets/{set_id}/lamps").text
    assert asked in lamps.replace("\N{NARROW NO-BREAK SPACE}", " ").replace("\N{NO-BREAK SPACE}", " ")
    head = get(f"/sources/{stores.sets.get_set(set_id).sources[0].id}").text
    assert "Accept it, " in head
    assert ("take another lamp" in head) == ("does better" not in asked)
