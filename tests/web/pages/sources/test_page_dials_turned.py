"""A head whose dials somebody turned after it was confirmed: page, board and Compare go by what was read."""

import pytest

from advisor.model import Kind, LightSet, Locus, Reach, Reading, Role, Setting, Source, Stage, Target
from tests.web.page import plain

PANEL = 1
WHITE = Target(cct=4400, locus=Locus.PLANCKIAN)


@pytest.fixture
def kitchen(stores):
    """Keep an invented set: a key panel with dials, and a bulb in the frame."""
    panel = Source(
        name="Key panel",
        kind=Kind.LED_WHITE,
        readings=[Reading(cct=3230, duv=0.0008, lux=790, dial=Setting(cct=3200))],
        reading=Reading(cct=5520, duv=0.0006, lux=830, dial=Setting(cct=5600)),
        role=Role.KEY,
        reach=Reach(cct_from=2700, cct_to=6500, green_from=-5, green_to=5),
    )
    bulb = Source(
        name="Table bulb",
        kind=Kind.TUNGSTEN,
        reading=Reading(cct=2790, duv=0.0002, lux=60),
        role=Role.PRACTICAL,
    )
    return stores.sets.create_set(LightSet(name="Kitchen", target=WHITE, sources=[panel, bulb]))


@pytest.fixture
def work(kitchen, stores):
    return lambda: stores.sets.get_source(PANEL).source.work


@pytest.fixture
def act(kitchen, post, stores):
    def press(action, **more):
        revision = stores.sets.get_source(PANEL).revision
        return post(f"/sources/{PANEL}/work", {"revision": revision, "action": action, **more})

    return press


@pytest.fixture
def meter(get, post):
    """Send the form of a new reading as the page shows it, with what is typed."""

    def send(cct, duv, lux, **typed):
        fields = get(f"/sources/{PANEL}").fields
        own = ("behind", "hung", "level", "modifier", "dial_cct", "dial_green", "token")
        kept = {name: fields[name] for name in own if name in fields}
        return post(f"/sources/{PANEL}/reading", {**kept, "cct": cct, "duv": duv, "lux": lux, **typed})

    return send


@pytest.fixture
def turned(act, meter, work):
    """Set the panel, confirm it by a reading, and read it once more with its green dial turned."""
    act("hung", stack='{"gels": [], "dial": {"cct": 4450, "green": 0}}')
    meter("4405", "0.0004", "800")
    assert work().stage is Stage.CONFIRMED
    return meter("4420", "-0.0062", "805", dial_cct="4450", dial_green="-2")


def _said(page):
    return plain(page.text).split("New reading")[0]


def test_page_board_and_compare_go_by_what_was_read_last(turned, get, work):
    """At Duv −0.0062 and at +0.0004, of some 4 400 K: the one is plainly magenta beside the bulb."""
    said = _said(turned).replace("\N{NARROW NO-BREAK SPACE}", " ")
    assert "Read last at green −2: 4 420 K, Duv −0.0062." in said
    assert "Set it back to 4 450 K green 0" in said and "Confirmed" not in said
    assert work().read_behind.cct == 4405 and work().read_turned.dial == Setting(cct=4450, green=-2)
    assert get("/sets/1").row(PANEL).startswith("Needs you: 1 Key panel set it back to green 0")
    now, gelled = (
        _against_bulb(get(f"/sets/1/compare?reference=2&light={light}")) for light in ("now", "gels")
    )
    assert "magenta" in now and "magenta" not in gelled


def _against_bulb(page):
    return page.text.split("1 Key panel")[1].split("Open")[0]


def test_set_back_holds_what_was_read_before(turned, act, work):
    page = act("set-back")
    assert work().read_turned is None and work().stage is Stage.CONFIRMED
    assert "Confirmed" in _said(page)
    assert "Last it read 4 420 K" in page.text.replace("\N{NARROW NO-BREAK SPACE}", " "), (
        "it reads so no more"
    )


def test_a_reading_at_the_set_dials_says_that_it_was_set_back(turned, meter, work):
    meter("4410", "0.0003", "801", dial_cct="4450", dial_green="0")
    assert work().read_turned is None and work().read_behind.cct == 4410


def test_it_may_stay_as_it_was_turned(turned, act, work):
    act("as-turned")
    assert work().dial == Setting(cct=4450, green=-2)
    assert (work().read_turned, work().read_behind.duv) == (None, -0.0062)


def test_a_struck_reading_turned_nothing(turned, stores, post, work):
    last = stores.sets.readings_of(PANEL)[-1]
    post(f"/readings/{last.id}/strike", {})
    assert work().read_turned is None and work().stage is Stage.CONFIRMED


def test_a_wrong_dial_that_is_mended_turned_nothing(turned, stores, post, work):
    last = stores.sets.readings_of(PANEL)[-1]
    fields = {"cct": "4420", "duv": "0.0005", "lux": "805", "dial_cct": "4450", "dial_green": "0"}
    post(f"/readings/{last.id}/mend", {**fields, "showed_at": last.taken_at})
    assert work().read_turned is None and work().read_behind.duv == 0.0005


def _paste(post, text):
    page = post("/sets/1/paste", {"text": text})
    return post("/sets/1/paste", {**page.fields, **dict(page.ticked), "text": text, "save": "yes"})


def test_what_is_pasted_of_it_is_what_it_reads_as_set_or_turned(act, post, work):
    act("hung", stack='{"gels": [], "dial": {"cct": 4450, "green": 0}}')
    _paste(post, "name,cct,duv,lux\nKey panel,4405,0.0004,800\n")
    assert (work().stage, work().read_behind.cct) == (Stage.CONFIRMED, 4405)
    _paste(post, "name,dial cct,dial green,cct,duv,lux\nKey panel,4450,-2,4420,-0.0062,805\n")
    assert work().read_turned.dial == Setting(cct=4450, green=-2) and work().read_behind.cct == 4405


def test_what_a_program_sends_of_it_is_too(act, client, work):
    act("hung", stack='{"gels": [], "dial": {"cct": 4450, "green": 0}}')
    at = "/api/v1/sets/1/sources/1/readings"
    assert client.post(at, json={"cct": 4405, "duv": 0.0004, "lux": 800}).status_code == 200
    assert (work().stage, work().read_behind.dial) == (Stage.CONFIRMED, Setting(cct=4450))
    turned = {"cct": 4420, "duv": -0.0062, "lux": 805, "dial": {"cct": 4450, "green": -2}}
    assert client.post(at, json=turned).status_code == 200
    assert work().read_turned.duv == -0.0062
