"""Light that is asked for, on its page: solved, planned at a tap and taken back."""

import re

import pytest

from advisor.model import Exposure, GelTable, LightSet, Limits, Reading, Role, Source, Stage, Target

ASKED = {"f_number": "2.8", "key_to_fill": "4"}
"""ISO 2720:1974 with ISO 800, 1/48 s, C 340: the key 8 · 340 · 48 / 800 = 163.2 lx, the fill a third."""

EXPOSURE = Exposure(iso=800, frame_rate=24, constant=340)
TWO_LAYERS = Limits(max_layers=2)
"""Enough for what is asked here, and searched sooner than three."""


def lamp(name, role, lux, level=None, **more):
    reading = Reading(cct=3200, duv=0, lux=lux, level=level)
    return Source(name=name, kind="led-white", role=role, reading=reading, **more)


@pytest.fixture
def stage(stores):
    """A key that dims in a straight line, a fill two stops too bright, and a window three over the key."""
    dimmed = Reading(cct=3200, duv=0, lux=163.2, level=25)
    sources = [
        lamp("Key", Role.KEY, 652.8, 100, readings=[dimmed]),
        lamp("Fill", Role.FILL, 217.6),
        Source(
            name="Window",
            kind="daylight",
            role=Role.BACK,
            reading=Reading(cct=5600, duv=0.0033, lux=8 * 163.2),
            over_key=2.0,
        ),
    ]
    kept = LightSet(
        name="Stage", target=Target(cct=3200), limits=TWO_LAYERS, sources=sources, exposure=EXPOSURE
    )
    return stores.sets.create_set(kept)


def asked(stage, **more):
    fields = "&".join(f"{name}={value}" for name, value in {**ASKED, **more}.items())
    return f"/sets/{stage}/light/asked?{fields}"


def test_the_light_page_leads_there(stage, get):
    assert "Ask for light" in get(f"/sets/{stage}/light").text


def test_it_asks_first(stage, get):
    page = get(f"/sets/{stage}/light/asked")
    assert page.heading == "Ask for light"
    assert "At ISO 800 and 1/48 s, C 340." in page.text
    assert "Plan it" not in page.text


def test_it_says_what_each_does_and_what_comes_of_it(stage, get):
    page = get(asked(stage))
    assert page.heading == "You get f/2.8 at 4:1 (2 stops)"
    assert "Distances hold for small sources only." in page.text
    assert "f/2.8 is asked: 163 lx" in page.text
    assert "Set the dimmer to 25 %" in page.text
    assert "4:1 (2 stops) is asked: 54.4 lx here" in page.text
    assert "At most 2 stops over the key: 653 lx" in page.text
    assert "matches" in page.text


def test_a_ratio_can_be_asked_in_stops(stage, get):
    """The lit side two stops over the fill side is 4:1."""
    page = get(asked(stage, key_to_fill="", contrast="2"))
    assert page.heading == "You get f/2.8 at 4:1 (2 stops)"
    both = get(asked(stage, contrast="1"))
    assert "1 stop is 2:1, and 4:1 is asked" in " ".join(both.alerts)
    assert 'value="1"' in both.html and 'value="4"' in both.html
    assert get(asked(stage, contrast="2 stops")).heading == page.heading, "the two may say the same"


def test_a_limit_can_be_asked_for_this_once(stage, get, stores):
    window = stores.sets.get_set(stage).sources[2]
    page = get(asked(stage, **{f"over_key_{window.id}": "1"}))
    assert "At most 1 stop over the key: 326 lx" in page.text
    assert stores.sets.get_set(stage).sources[2].source.over_key == 2.0


def test_as_asked_is_what_is_as_asked_alone(stage, get, stores):
    """A fill that is too dark for its ratio: the key gives 163 lx, and that alone is as asked."""
    fill = stores.sets.get_set(stage).sources[1]
    reading = fill.source.reading.model_copy(update={"lux": 5.0})
    stores.sets.update_source(fill.id, fill.source.model_copy(update={"reading": reading}))
    heading = get(asked(stage)).heading
    assert heading.startswith("You get f/2.8, as asked, at "), heading
    assert heading.endswith(". Not reached: Fill"), heading


def test_what_cannot_be_reached_is_said_in_stops(stage, get):
    # f/22 wants 512 · 340 · 48 / 800 = 10 445 lx of 653: four stops more, and half the distance gives two.
    page = get(asked(stage, f_number="22"))
    assert "Not reached: Key" in page.heading
    assert "stops short" in page.heading
    assert "Less than half as far is not offered." in page.text


@pytest.mark.parametrize(
    ("nd", "says"),
    [(True, "Too bright: its 1 layer is full."), (False, "Too bright: no ND is in the gel table.")],
)
def test_why_a_window_stays_too_bright_is_said(stage, get, stores, nd, says):
    window = stores.sets.get_set(stage).sources[2]
    stores.sets.update_set(stage, limits=Limits(max_layers=1 if nd else 3))
    if not nd:
        rows = [row for row in stores.gels.in_force().table.rows if row.family == "CTO"]
        stores.gels.replace(GelTable(rows=rows), "CTO alone")
    page = get(asked(stage, **{f"over_key_{window.id}": "-6"}))
    assert "Not reached: Window" in page.heading
    assert says in page.text


def test_who_is_over_the_key_then_is_named(stage, get, stores):
    assert "Over the key" not in get(asked(stage)).text
    stores.sets.add_source(stage, lamp("Wall", Role.BACK, 652.8))
    assert "Over the key then: Wall by 2 stops." in get(asked(stage)).text


def test_one_tap_plans_it_with_its_dimmer_and_one_takes_it_back(stage, get, post, stores):
    before = stores.sets.get_set(stage)
    page = post(f"/sets/{stage}/light/asked", {**ASKED, "revision": str(before.revision)})
    assert page.status == 200
    assert "Planned." in page.text
    assert f'<a class="button" href="/sets/{stage}/order">Work order</a>' in page.html
    key, fill, window = (one.source for one in stores.sets.get_set(stage).sources)
    assert (key.level, key.work.stage, key.work.gels) == (25.0, Stage.PLANNED, [])
    assert fill.work.stage is Stage.PLANNED
    assert any(name.startswith("ND") for name in window.work.gels)
    post(f"/sets/{stage}/plans/back", {"done": page.fields["done"]})
    assert stores.sets.get_set(stage).light_set == before.light_set


def test_another_way_can_be_chosen(stage, post, stores):
    now = stores.sets.get_set(stage)
    key = now.sources[0].id
    post(f"/sets/{stage}/light/asked", {**ASKED, f"way_{key}": "gel", "revision": str(now.revision)})
    source = stores.sets.get_set(stage).sources[0].source
    assert source.level is None
    assert source.work.gels == ["ND 0.6"]


def test_what_was_planned_so_is_the_plan_of_the_set(stage, get, post, stores):
    """The light page then has what was asked, and nothing is out of date."""
    now = stores.sets.get_set(stage)
    post(f"/sets/{stage}/light/asked", {**ASKED, "revision": str(now.revision)})
    page = get(f"/sets/{stage}/light")
    assert "Key alone" in page.text and "f/2.8" in page.text
    assert "Out of date" not in get(f"/sets/{stage}").text


def test_whoever_comes_second_sees_it_as_it_is_now(stage, post, stores):
    first = stores.sets.get_set(stage)
    stores.sets.by("Bo").update_set(stage, target=Target(cct=4000))
    late = post(f"/sets/{stage}/light/asked", {**ASKED, "revision": str(first.revision)})
    assert late.status == 409
    assert "Bo changed this set meanwhile. Nothing was planned." in late.alerts[0]
    assert all(one.source.work is None for one in stores.sets.get_set(stage).sources)


@pytest.mark.parametrize(
    ("field", "typed", "says"),
    [("f_number", "dark", "f-number"), ("key_to_fill", "0", "Key to fill"), ("f_number", "900", "f-number")],
)
def test_what_is_no_such_number_is_refused_beside_its_field(stage, get, field, typed, says):
    page = get(asked(stage, **{field: typed}))
    assert page.status == 200
    assert says in " ".join(page.alerts)
    assert f'value="{typed}"' in page.html


def test_a_set_without_a_key_says_so(get, stores):
    sources = [lamp("Fill", Role.FILL, 100.0)]
    stage = stores.sets.create_set(LightSet(name="Dark", target=Target(cct=3200), sources=sources))
    page = get(asked(stage))
    assert "No source is the key. Give one that role." in page.text
    [link] = re.findall(r'href="(/sources/\d+/edit)#role"><strong>Fill<', page.html)
    assert 'id="role"' in get(link).html


def test_a_set_with_a_key_asks_nobody_to_be_it(stage, get):
    assert "say what it is" not in get(asked(stage)).text


@pytest.fixture
def one_level(stores):
    """Keep a set with a key of a kind that was read at 80 % only, with a stop too much."""

    def keep(kind):
        read = Reading(cct=3200, duv=0, lux=2 * 163.2, level=80)
        source = Source(name="Key", kind=kind, role=Role.KEY, reading=read)
        return stores.sets.create_set(
            LightSet(name="One level", target=Target(cct=3200), sources=[source], exposure=EXPOSURE)
        )

    return keep


def test_an_led_read_at_one_level_is_dimmed_by_proportion_and_metered_there(get, post, stores, one_level):
    stage = one_level("led-white")
    page = get(asked(stage, key_to_fill=""))
    assert "Only read at 80 %: other levels are guessed from the dimmer." in page.text
    assert "Set the dimmer to about 40 %" in page.text
    assert "About f/2.8, 163 lx, as asked. Meter colour and light there." in page.text
    assert "Leave the dimmer at 80 %, hang" in page.text
    post(
        f"/sets/{stage}/light/asked",
        {"f_number": "2.8", "revision": str(stores.sets.get_set(stage).revision)},
    )
    assert stores.sets.get_set(stage).sources[0].source.level == 40.0


def test_a_filament_read_at_one_level_says_that_it_warms(get, one_level):
    page = get(asked(one_level("tungsten"), key_to_fill=""))
    assert "other levels are guessed from the dimmer, warmer when dimmed." in page.text
    assert "Set the dimmer to about" in page.text


def test_a_discharge_head_read_at_one_level_says_what_to_do(get, one_level):
    page = get(asked(one_level("discharge"), key_to_fill=""))
    assert "Only read at 80 %. Read it at two dim levels: then dimming is offered." in page.text
    assert "Leave the dimmer at 80 %" in page.text


def test_a_dimmer_that_is_known_says_no_such_thing(stage, get):
    page = get(asked(stage))
    assert "dimming is offered" not in page.text
    assert "Leave the dimmer at 100 %, hang ND 0.6" in page.text


def test_scrims_are_added_in_one_tap_where_a_crews_table_has_none(stage, get, post, stores):
    assert "No scrims in your gels" not in get(asked(stage)).text
    own = [gel for gel in stores.gels.in_force().table.rows if not gel.scrim]
    stores.gels.replace(GelTable(rows=own), "no scrims yet")
    assert "No scrims in your gels." in get(asked(stage)).text
    page = post(f"/sets/{stage}/light/scrims", ASKED)
    assert page.heading == "You get f/2.8 at 4:1 (2 stops)" and "No scrims in your gels" not in page.text
    rows = stores.gels.in_force().table.rows
    assert [gel.name for gel in rows] == [*(g.name for g in own), "Single scrim full", "Double scrim full"]
    version = stores.gels.in_force().version
    post(f"/sets/{stage}/light/scrims", ASKED)
    assert stores.gels.in_force().version == version, "a second tap writes nothing"


def test_scrims_that_are_switched_off_are_switched_on(stage, get, post, stores):
    rows = [
        gel.model_copy(update={"on": False, "stock": 2}) if gel.scrim else gel
        for gel in stores.gels.in_force().table.rows
    ]
    stores.gels.replace(GelTable(rows=rows), "scrims off")
    post(f"/sets/{stage}/light/scrims", ASKED)
    assert [(g.on, g.stock) for g in stores.gels.in_force().table.rows if g.scrim] == [(True, 2)] * 2


def test_what_was_planned_without_a_link_has_one_undo_too(stage, get, post, stores):
    """A phone that sends it later gets no address that says what was done: the page knows it by itself."""
    assert "Undo" not in get(asked(stage)).text
    post(f"/sets/{stage}/light/asked", {**ASKED, "revision": str(stores.sets.get_set(stage).revision)})
    page = get(asked(stage))
    assert "Planned." in page.text and "Undo" in page.text
    page = post(f"/sets/{stage}/plans/back", {**ASKED, "done": page.fields["done"]})
    assert page.heading == "You get f/2.8 at 4:1 (2 stops)" and "Undo" not in page.text
    assert all(
        one.source.work is None and one.source.level is None for one in stores.sets.get_set(stage).sources
    )


def test_what_was_decided_otherwise_since_has_none(stage, get, post, stores):
    post(f"/sets/{stage}/light/asked", {**ASKED, "revision": str(stores.sets.get_set(stage).revision)})
    window = stores.sets.get_set(stage).sources[2]
    stores.sets.change_source(window.id, {"work": None})
    assert "Planned." not in get(asked(stage)).text


class TestWindowWithItsLayersFull:
    """An invented loft: a window as the fill, its three layers taken by colour and ND."""

    @pytest.fixture
    def loft(self, stores):
        bare = Reading(cct=5900, duv=0.0037, lux=820)
        window = Source(name="Loft window", kind="daylight", role=Role.FILL, reading=bare)
        key = Source(name="Panel", kind="led-white", role=Role.KEY, reading=Reading(cct=4300, duv=0, lux=398))
        white = Target(cct=4300, locus="planckian")
        kept = LightSet(name="Loft", target=white, limits=Limits(max_layers=3), sources=[window, key])
        return stores.sets.create_set(kept)

    def test_it_is_not_said_to_give_no_more_light(self, loft, get):
        """Bare it gives four times what is asked: the ND takes that."""
        page = get(f"/sets/{loft}/light/asked?key_to_fill=3")
        assert "ND 0.6" in page.text and "stop short" in page.text
        assert "It gives no more light than that." not in page.text
        assert "Too dark with this ND, too bright with less: its 3 layers are full." in page.text

    def test_where_none_is_the_fill_those_who_could_be_are_named(self, loft, get, stores):
        window = stores.sets.get_set(loft).sources[0]
        stores.sets.update_source(window.id, window.source.model_copy(update={"role": Role.OTHER}))
        page = get(f"/sets/{loft}/light/asked?key_to_fill=3")
        assert "No source is the fill. Give one that role." in page.text
        assert re.findall(r'href="(/sources/\d+/edit)#role"><strong>([^<]*)<', page.html) == [
            (f"/sources/{window.id}/edit", "Loft window")
        ]
