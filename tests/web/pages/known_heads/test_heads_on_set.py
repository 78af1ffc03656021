"""A tested head on a set: what its page says of its test, and what is kept to the head afterwards."""

import re

import pytest

from tests.heads import PANEL, READINGS, TEST


def plain(page):
    return page.text.replace("\xa0", " ").replace("\u202f", " ")


@pytest.fixture
def panel(shipped, stores, post):
    """Put the tested panel on the sample set, and return its source."""
    post("/sets/1/heads", {"one": "1"})
    return stores.sets.get_set(1).sources[-1].id


@pytest.fixture
def meter(post, panel):
    def take(**typed):
        return post(f"/sources/{panel}/reading", {key: str(value) for key, value in typed.items()})

    return take


def test_before_it_is_metered_the_page_says_how_sure_the_test_is(panel, get):
    said = plain(get(f"/sources/{panel}"))
    assert "Not metered on this set. Likely close to its test, by its age." in said
    assert "Its lux holds at 3 m." in said
    assert "not metered here" in plain(get("/sets/1"))
    assert "About 5 813 K" in plain(get(f"/sources/{panel}"))


def test_a_head_that_was_metered_with_its_gel_on_only_says_so(panel, get, stores):
    reading = stores.sets.get_source(panel).source.reading.model_copy(update={"tested_at": None})
    stores.sets.add_reading(panel, reading.model_copy(update={"cct": 5200, "gels": ["CTO 1/8"]}))
    said = plain(get(f"/sources/{panel}"))
    assert "Metered here with its gel on (1 reading), never bare." in said
    assert "Not metered on this set" not in said
    assert "metered with gel only" in plain(get("/sets/1"))
    assert "not metered here" not in get("/sets/1").row(7)


def test_the_first_reading_says_how_far_the_test_moved_and_the_other_levels_follow(panel, meter, get, stores):
    meter(cct=5773, duv="-0.0014", lux=1000, level=100)
    said = plain(get(f"/sources/{panel}"))
    assert "40 K lower and 1.0 stop darker than in its test of" in said
    assert re.search(r"in its test of .+ at 3 m\. The whole test moves with it\.", said)
    assert "not metered here" not in get("/sets/1").row(7)
    now = stores.sets.get_source(panel)
    stores.sets.change_source(panel, {"level": 50.0}, revision=now.revision)
    # 5 790 K at half; as many mireds warmer as 5 773 is than 5 813, which makes 5 750.
    assert "About 5 750 K" in plain(get(f"/sources/{panel}"))


@pytest.mark.parametrize("stood", [{}, {"level": 70}, {"level": 50}])
def test_light_is_held_against_the_test_at_the_same_level_and_modifier_only(panel, meter, get, stood):
    """50 % was tested at 1 000 lx; what nobody noted and what lies between were not."""
    meter(cct=5500, duv="-0.0014", lux=350, **stood)
    said = plain(get(f"/sources/{panel}"))
    assert "lower" in said.partition("than in its test")[0]
    assert ("1.5 stops darker" in said) is (stood == {"level": 50})
    assert "brighter" not in said


@pytest.mark.parametrize(("duv", "asked"), [("0.0014", True), ("-0.0018", False), ("0.0002", False)])
def test_a_sign_that_the_test_has_otherwise_is_asked_about(panel, meter, get, duv, asked):
    meter(cct=5813, duv=duv, lux=2000, level=100)
    said = plain(get(f"/sources/{panel}"))
    assert ("Duv +0.0014 was read, −0.0014 in its test. Was −0.0014 meant?" in said) == asked


def test_a_reading_as_in_the_test_says_so(panel, meter, get):
    meter(cct=5813, duv="-0.0014", lux=2000, level=100)
    assert "Reads as in its test of" in plain(get(f"/sources/{panel}"))


def test_its_readings_say_which_are_from_the_test(panel, meter, get):
    meter(cct=5773, duv="-0.0014", level=100)
    assert plain(get(f"/sources/{panel}")).count("in its test, at") == 4


def test_a_level_far_below_the_test_is_refused_with_what_to_do(panel, get, stores):
    now = stores.sets.get_source(panel)
    stores.sets.change_source(panel, {"level": 2.0}, revision=now.revision)
    said = plain(get(f"/sources/{panel}"))
    assert "nothing was read near 2 %: the lowest level read is 10 %" in said
    assert "a reading at 2 %" in said


def test_what_was_read_is_kept_to_the_head_once_and_undone(panel, meter, get, post, stores):
    meter(cct=5773, duv="-0.0014", lux=1000, level=100)
    assert "Keep 1 reading to Panel 3" in plain(get(f"/sources/{panel}"))
    page = post("/sets/1/keep", {"source": str(panel)})
    assert "Kept 1 reading to Panel 3" in plain(page)
    newest = stores.heads.tests_of(1)[0]
    assert (newest.test.on_set, newest.readings[0].reading.cct) == (stores.sets.get_set(1).name, 5773)
    assert newest.begun_at == stores.sets.get_source(panel).taken_at
    assert "Nothing to keep." in plain(post("/sets/1/keep", {}))
    assert len(stores.heads.tests_of(1)) == 2
    assert "Keep 1 reading" not in plain(get(f"/sources/{panel}"))
    change = stores.heads.changes(1)[0]
    post(f"/head-changes/{change.id}/undo")
    assert len(stores.heads.tests_of(1)) == 1
    assert "Keep 1 reading" in plain(get(f"/sources/{panel}"))


def test_a_reading_behind_gel_and_one_struck_out_are_not_kept(panel, meter, post, stores):
    meter(cct=5773, duv="-0.0014", level=100)
    [reading] = [r for r in stores.sets.readings_of(panel) if not r.tested]
    stores.sets.strike(reading.id)
    assert "Nothing to keep." in plain(post("/sets/1/keep", {}))
    stores.sets.add_reading(panel, reading.reading.model_copy(update={"gels": ["CTO 1/4"]}))
    assert "Nothing to keep." in plain(post("/sets/1/keep", {}))


def test_the_next_set_goes_by_what_was_kept(panel, meter, post, stores, get):
    meter(cct=5773, duv="-0.0014", level=100)
    post("/sets/1/keep", {})
    post("/sets/1/heads", {"one": "1", "again": "yes"})
    again = stores.sets.get_set(1).sources[-1]
    assert again.source.test.tests == 1  # of the same day
    assert "by its age" in plain(get(f"/sources/{again.id}"))
    assert "About 5 773 K" in plain(get(f"/sources/{again.id}"))


def test_what_the_head_was_removed_from_is_not_kept_and_says_so(panel, meter, post, get, stores):
    meter(cct=5773, duv="-0.0014", level=100)
    stores.heads.delete_head(1)
    assert "its head was removed" in plain(get("/sets/1/keep"))
    assert "Keep 1 reading" not in plain(get(f"/sources/{panel}"))
    post("/sets/1/keep", {})
    stores.heads.restore_head(1)
    assert len(stores.heads.tests_of(1)) == 1


def test_a_source_that_is_not_on_the_set_is_not_found(panel, post):
    assert post("/sets/1/keep", {"source": "99"}).status == 404


def test_changing_the_source_keeps_what_its_test_says(panel, post, get, stores):
    before = stores.sets.get_source(panel).source
    post(f"/sources/{panel}/edit", {**get(f"/sources/{panel}/edit").fields, "note": "up high"})
    after = stores.sets.get_source(panel).source
    assert after.note == "up high"
    assert (after.test, after.readings) == (before.test, before.readings)


def test_what_was_kept_is_a_dated_entry_beside_the_test(panel, meter, post, get, stores):
    meter(cct=5773, duv="-0.0014", level=100)
    post("/sets/1/keep", {})
    page = get("/heads/1")
    assert f"1 reading kept from {stores.sets.get_set(1).name}" in plain(page)
    assert plain(page).count("Go on testing") == 1
    assert "4 of 6 read, on a set " in plain(get("/heads"))
    kept = stores.heads.tests_of(1)[0].id
    assert f"read on {stores.sets.get_set(1).name}" in plain(get(f"/tests/{kept}/sheet"))
    assert get("/heads/1/test").fields["levels"] == "100, 50, 10"


def test_heads_beside_each_other_go_by_what_was_kept_as_a_new_set_does(panel, meter, post, get, stores):
    other = stores.heads.add_head(PANEL.model_copy(update={"name": "Panel 4"}))
    stores.heads.take_reading(stores.heads.begin_test(other, TEST), READINGS[0])
    assert (
        "5 813 K" in plain(get("/heads/beside?group=Panels")).partition("Panel 3")[2].partition("Panel 4")[0]
    )
    meter(cct=5400, duv="-0.0014", lux=2000, level=100)
    post("/sets/1/keep", {"source": str(panel), "head": "1"})  # it is not as in its test
    post("/sets/1/heads", {"one": "1", "again": "yes"})
    again = stores.sets.get_set(1).sources[-1]
    assert "About 5 400 K" in plain(get(f"/sources/{again.id}"))
    said = plain(get("/heads/beside?group=Panels"))
    assert "Panel 3 5 400 K" in re.sub(r"\s+", " ", said)
    # The levels that were not read today follow, as on a set: 22 to 30 MK⁻¹ bluer at half would be wrong.
    stores.sets.change_source(again.id, {"level": 50.0}, revision=again.revision)
    half = re.search(r"About (5 \d\d0) K", plain(get(f"/sources/{again.id}")))[1]
    shown = re.search(r"Panel 3 (?:about )?(5 \d{3}) K", re.sub(r"\s+", " ", plain(get(BESIDE_AT_HALF))))[1]
    assert abs(int(half.replace(" ", "")) - int(shown.replace(" ", ""))) <= 10


BESIDE_AT_HALF = "/heads/beside?group=Panels&level=50"


def test_the_history_says_what_the_set_says_of_a_head_that_still_matches(panel, meter, post, get):
    meter(cct=5773, duv="-0.0014", lux=2000, level=100)
    assert "40 K lower than in its test" in plain(get(f"/sources/{panel}"))
    post("/sets/1/keep", {})
    assert "40 K lower since" in plain(get("/heads/1"))
    assert "It still matches." in plain(get("/heads/1"))


def test_a_bare_reading_that_contradicts_the_test_says_so_and_what_to_check(panel, meter, get):
    meter(cct=5300, duv="-0.0014", lux=2000, level=100)
    said = plain(get(f"/sources/{panel}"))
    assert "Not as in its test of" in said
    assert (
        "510 K lower. Check the head’s number, its lamp and its level. The plan goes by this reading." in said
    )
    assert "5 300 K" in said


def test_a_bare_reading_like_another_level_of_its_test_asks_for_the_level(panel, meter, get):
    meter(cct=5640, duv="0.0031", level=100)
    assert "It reads as its test at 10 %: check the level." in plain(get(f"/sources/{panel}"))


def test_a_sign_that_was_read_twice_is_not_asked_about(panel, meter, get):
    meter(cct=5813, duv="0.0014", lux=2000, level=100)
    assert "Was −0.0014 meant?" in plain(get(f"/sources/{panel}"))
    meter(cct=5805, duv="0.0015", lux=2000, level=100)
    assert "Was −0.0014 meant?" not in plain(get(f"/sources/{panel}"))


def test_what_was_read_here_otherwise_than_in_the_test_was_metered(panel, meter, get):
    meter(cct=4100, duv="0.0010", level=100, modifier="deep box")
    said = plain(get(f"/sources/{panel}"))
    assert "Not metered on this set" not in said
    assert "Metered here, set otherwise than in its test." in said


def test_what_is_within_a_mired_of_its_test_reads_as_in_it(panel, meter, get):
    """10 K at 5 813 K are 0.3 mired: no two readings of a meter tell that."""
    meter(cct=5803, duv="-0.0016", level=100)
    said = plain(get(f"/sources/{panel}"))
    assert "Reads as in its test of" in said
    assert "moves with it" not in said


def test_a_head_that_was_renamed_says_so_on_its_set(panel, get, stores):
    assert "In Heads it is" not in plain(get(f"/sources/{panel}"))
    stores.heads.change_head(1, PANEL.model_copy(update={"name": "Panel C"}))
    assert "In Heads it is Panel C now." in plain(get(f"/sources/{panel}"))


def test_a_head_that_was_renamed_is_on_the_set_still(panel, get, post, stores):
    other = stores.heads.add_head(PANEL.model_copy(update={"name": "Panel 4"}))
    stores.heads.add_test(other, TEST, READINGS[:1])
    stores.heads.change_head(1, PANEL.model_copy(update={"name": "Panel, blue tape"}))
    before = [one.source.name for one in stores.sets.get_set(1).sources]
    assert "On this set already Add again Panel, blue tape" in plain(get("/sets/1/heads"))
    asked = post("/sets/1/heads", {"group": "Panels"})
    assert "Panel, blue tape is on this set already." in plain(asked)
    rest = re.findall(r'name="head" value="(\d+)">\s*<button>Add the rest only', asked.html)
    assert rest == [str(other)]
    post("/sets/1/heads", {"head": rest[0]})
    assert [one.source.name for one in stores.sets.get_set(1).sources] == [*before, "Panel 4"]
