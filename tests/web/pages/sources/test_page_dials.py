"""A head whose dials are set: readings inherit them, other dials teach them, and no gel goes before them."""

import re

import pytest

from advisor.model import Kind, Reach, Reading, Role, Setting, Source, Stage
from tests.bakery import bakery
from tests.web.page import plain

PANEL = 3
"""Read at 3 200 and at 5 600 K on its dial; the last one counts."""


@pytest.fixture
def shipped(stores):
    """Keep a set whose third source is a panel that was read at two settings of its dials."""
    panel = Source(
        name="Counter panel",
        kind=Kind.LED_WHITE,
        readings=[Reading(cct=3260, duv=-0.0012, lux=455, dial=Setting(cct=3200))],
        reading=Reading(cct=5480, duv=-0.0021, lux=410, dial=Setting(cct=5600)),
        role=Role.FILL,
        reach=Reach(cct_from=2700, cct_to=6500, green_from=-10, green_to=10),
    )
    made = bakery()
    made.sources[PANEL - 1] = panel
    return stores.sets.create_set(made)


@pytest.fixture
def panel(shipped, stores):
    return lambda: stores.sets.get_source(PANEL).source


@pytest.fixture
def hang(shipped, post, stores):
    """Say that the panel is set, with gels or without."""

    def set_it(cct, gels=()):
        dial = f'{{"cct": {cct}, "green": 0}}'
        names = ", ".join(f'"{gel}"' for gel in gels)
        revision = stores.sets.get_source(PANEL).revision
        stack = f'{{"gels": [{names}], "dial": {dial}}}'
        return post(f"/sources/{PANEL}/work", {"revision": revision, "action": "hung", "stack": stack})

    return set_it


@pytest.fixture
def meter(get, post):
    """Send the form of a new reading as the page shows it, with what is typed."""

    def send(**typed):
        fields = get(f"/sources/{PANEL}").fields
        own = ("behind", "hung", "level", "modifier", "dial_cct", "dial_green", "token")
        return post(f"/sources/{PANEL}/reading", {**{k: fields[k] for k in own if k in fields}, **typed})

    return send


def test_the_form_shows_how_the_dials_are_set_as_told_or_as_hung(panel, get, hang):
    page = get(f"/sources/{PANEL}")
    assert (page.fields["dial_cct"], page.fields["dial_green"]) == ("5650", "1")  # as it is told to be set
    form = page.html.split('id="new-reading"')[1]
    assert form.index("CCT on its dial") < form.index("Lux, level, modifier")
    hang(4300)
    assert get(f"/sources/{PANEL}").fields["dial_cct"] == "4300"


def test_a_reading_inherits_them_also_where_the_field_is_empty(panel, hang, meter):
    hang(4300)
    meter(cct="4210", duv="-0.0018")
    assert panel().reading.dial == Setting(cct=4300)
    meter(cct="4215", duv="-0.0018", dial_cct="", dial_green="")
    assert (panel().reading.cct, panel().reading.dial) == (4215, Setting(cct=4300))
    assert panel().work.read_behind.cct == 4215


def test_a_reading_at_other_dials_teaches_them_and_leaves_the_work_alone(panel, hang, meter, get):
    hang(4300)
    was = panel().work
    page = meter(cct="3400", duv="-0.0010", dial_cct="3400")
    assert panel().work == was.model_copy(update={"read_turned": panel().reading})
    assert panel().reading.dial == Setting(cct=3400)
    assert "Fitted from 3 readings." in page.text
    answer = plain(page.text).split("New reading")[0]
    assert not re.search(r"(Add|Hang) [⅛¼½⅜¾⅝f]", answer) and "Not as predicted" not in answer


def test_behind_gel_at_other_dials_says_nothing_of_what_hangs(panel, hang, meter):
    hang(4300, ["Plus green 1/8"])
    was = panel().work
    meter(cct="3400", duv="0.0020", dial_cct="3400")
    assert panel().work == was.model_copy(update={"read_turned": panel().readings[-1]})
    assert (panel().readings[-1].gels, panel().readings[-1].dial) == (["Plus green 1/8"], Setting(cct=3400))


def test_what_is_off_at_the_set_dials_is_turned_not_gelled(panel, hang, meter):
    hang(5700)
    page = meter(cct="5000", duv="0.0020")
    assert panel().work.stage is Stage.HUNG
    answer = plain(page.text).split("New reading")[0]
    assert re.search(r"Counter panel Set [56] \d{3} K", answer.replace("\N{NARROW NO-BREAK SPACE}", " "))
    assert not re.search(r"(Add|Hang) [⅛¼½⅜¾⅝f]", answer)


@pytest.mark.parametrize("gels", [(), ("Plus green 1/8",)], ids=["bare", "behind gel"])
def test_who_meters_after_an_order_to_turn_them_has_turned_them(panel, hang, meter, get, post, gels):
    """The order was not ticked: who sets and meters says no more, and the reading is of the new setting."""
    hang(5700, gels)
    meter(cct="5000", duv="0.0020")
    page = get(f"/sources/{PANEL}")
    told = int(page.fields["dial_cct"])
    assert told > 5700 and re.search(r"Advised: [^.]*\. Were at 5.700.K", page.text)
    meter(cct="5590", duv="0.0030")
    work = panel().work
    assert (work.dial.cct, work.gels) == (told, list(gels))
    assert (work.read_behind.cct, work.read_behind.dial) == (5590, work.dial)
    assert work.predicted.cct == pytest.approx(5600, abs=250) and work.read_bare is not None


def test_one_who_says_that_they_were_not_turned_is_believed(panel, hang, meter):
    hang(5700)
    meter(cct="5000", duv="0.0020")
    meter(cct="5010", duv="0.0020", dial_cct="5700", dial_green="0")
    assert panel().work.dial == Setting(cct=5700) and panel().work.read_behind.cct == 5010


def test_pasted_readings_inherit_them_and_say_so(shipped, post, panel, hang):
    hang(4300)
    text = "name,cct,duv,lux\nCounter panel,4210,-0.0018,400\n"
    page = post("/sets/1/paste", {"text": text})
    assert "taken with 'Counter panel' as it is set, dials at 4 300 K" in page.text
    ticks = dict(page.ticked)
    post("/sets/1/paste", {**page.fields, **ticks, "text": text, "save": "yes"})
    assert panel().reading.dial == Setting(cct=4300)
    text = "name,dial cct,cct,duv\nCounter panel,3200,3300,-0.001\n"
    page = post("/sets/1/paste", {"text": text})
    assert "as it is set" not in page.text


def test_dials_of_which_nobody_noted_how_they_stood_are_read_before_any_gel(shipped, get, post):
    post("/sets/1/sources/new", {"name": "New panel", "kind": "led-white", "cct": "4400", "duv": "-0.002",
         "shot": "yes", "reach_cct_from": "2700", "reach_cct_to": "6500"})  # fmt: skip
    page = get("/sources/7")
    first = re.search(r'<p class="answer">(.*?)</p>', page.html)[1]
    assert first == "Dials first: note how they stand, and meter it"
    assert page.html.index("<summary>Gel alone</summary>") < page.html.index('class="far"')
    assert get("/sets/1").row(7).startswith("Needs you: 7 New panel note the dials, meter it")
    for paper in ("sheet", "tags"):
        part = get(f"/sets/1/{paper}").text.split("New panel")[1]
        assert "Dials first: note how they stand, and meter it" in part
        assert "Hang" not in part.split("source")[0]
    assert "New panel" not in get("/sets/1/pulls").text.split("Cut from")[0].split("size not")[0]
    post("/sources/7/reading", {"cct": "4400", "duv": "-0.002", "dial_cct": "4500"})
    assert re.search(r'<p class="verb">Set</p>', get("/sources/7").html)
