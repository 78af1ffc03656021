"""What is said of a head; the two readings and what is said of them are common practice, no source."""

from advisor.advice.known_heads.sentences import sentences, step_said
from advisor.advice.readings.chromaticity import measure
from advisor.advice.wording.ladder import TRADE
from advisor.advice.wording.words import against_loci
from advisor.model import HeadSetup, Locus, Setting
from tests.heads import read

BARE = HeadSetup("")


def test_half_an_eighth_of_one_locus_is_over_an_eighth_of_the_other():
    said = against_loci(measure(read(100, cct=5813, duv=-0.0014)), TRADE)
    assert said[Locus.PLANCKIAN] == "about half an eighth magenta against the Planckian locus"
    assert said[Locus.DAYLIGHT] == "a little over an eighth magenta against the daylight locus"


def test_a_touch_off_one_locus_is_less_than_an_eighth_off_the_other():
    said = against_loci(measure(read(100, cct=5701, duv=0.0009)), TRADE)
    assert said[Locus.PLANCKIAN] == "a touch green against the Planckian locus"
    assert said[Locus.DAYLIGHT] == "less than an eighth magenta against the daylight locus"


def test_a_warm_head_has_no_daylight_locus():
    assert list(against_loci(measure(read(100, cct=3200, duv=0.0)), TRADE)) == [Locus.PLANCKIAN]


def test_a_head_that_drifts_green_is_said_to():
    bare = [read(100), read(50, cct=5800, duv=-0.0012), read(10, cct=5640, duv=0.0031)]
    first, drift = sentences({BARE: bare, HeadSetup("dish"): [read(100, "dish", cct=5815)]}, TRADE)
    assert first == (
        "At 100\u202f%, bare: about half an eighth magenta against the Planckian locus. "
        "A little over an eighth magenta against the daylight locus."
    )
    assert (
        drift
        == "At 10\u202f% it is a touch warmer, a little over an eighth greener. With dish it matches bare."
    )


def test_a_head_that_holds_is_said_to():
    bare = [read(100, cct=5600, duv=0.0), read(10, cct=5605, duv=0.0001)]
    assert sentences({BARE: bare}, TRADE)[1] == "It holds its colour down to 10\u202f%."


def test_a_head_that_holds_and_is_told_other_gels_is_not_said_to_hold():
    bare = [read(100, cct=5600, duv=0.0), read(50, cct=5605, duv=0.0018)]
    said = sentences({BARE: bare}, TRADE, same_gels=False)[1]
    assert said == "It stays close to full down to 50\u202f%. What to hang changes."


def test_a_modifier_that_warms_is_said_to():
    rows = {
        BARE: [read(100, cct=5600, duv=0.0)],
        HeadSetup("silk"): [read(100, "silk", cct=5100, duv=0.0)],
    }
    assert sentences(rows, TRADE)[1] == "With silk: about an eighth CTO warmer."


def test_what_the_dials_really_give_is_said():
    warm, cool = HeadSetup("", Setting(cct=3200)), HeadSetup("", Setting(cct=5600))
    rows = {warm: [read(100, cct=3150, duv=0.0)], cool: [read(100, cct=5410, duv=0.0)]}
    said = sentences(rows, TRADE)[1].replace("\xa0", " ").replace("\u202f", " ")
    assert said == "On its dials, 3 200 K reads 3 150 K and 5 600 K reads 5 410 K."


def test_after_a_reading_one_line_says_what_it_means():
    full = measure(read(100))
    assert step_said(measure(read(50)), TRADE, full).endswith("daylight locus. Beside full: matches it.")
    assert step_said(measure(read(50, cct=5790, duv=0.0004)), TRADE, full).endswith("full: close to it.")


def test_a_modifier_that_changes_the_light_is_never_said_to_change_nothing():
    """Within 3 steps nobody hangs gel for it, and yet it was measured."""
    rows = {
        BARE: [read(100, cct=5600, duv=0.0)],
        HeadSetup("silk"): [read(100, "silk", cct=5480, duv=0.0002)],
    }
    assert sentences(rows, TRADE)[1] == "With silk: a touch warmer."


def test_a_head_that_is_close_all_the_way_down_is_not_said_to_hold():
    bare = [read(100, cct=5600, duv=0.0), read(50, cct=5600, duv=0.0018)]
    assert sentences({BARE: bare}, TRADE)[1] == "It stays close to full down to 50\u202f%."


def test_of_many_dials_the_ends_are_said():
    rows = {
        HeadSetup("", Setting(cct=cct, green=green)): [read(100, cct=0.9 * cct, duv=0.0)]
        for cct in (3200, 2800, 4300, 6500)
        for green in (10, 0)
    }
    said = sentences(rows, TRADE)[1].replace("\xa0", " ").replace("\u202f", " ")
    assert (
        said
        == "On its dials, 2 800 K reads 2 520 K and 6 500 K reads 5 850 K. The table has those in between."
    )


def test_a_head_is_told_by_the_dials_that_were_read_at_the_most_levels():
    cool, warm = (HeadSetup("", Setting(cct=cct)) for cct in (5600, 3200))
    rows = {
        warm: [read(100, cct=3200, duv=0.0)],
        cool: [read(100, cct=5600, duv=0.0), read(10, cct=5600, duv=0.0)],
    }
    first, drift, _ = sentences(rows, TRADE)
    assert first.startswith("At 100\u202f%, bare, dials at 5\u202f600\xa0K: on the Planckian locus.")
    assert drift == "It holds its colour down to 10\u202f%."


def test_a_bare_level_that_was_left_out_makes_the_modifier_no_reference():
    """An invented discharge head: its softbox is warmer and greener, and was read at a level more."""
    rows = {
        BARE: [read(100, cct=5900, duv=-0.0030), read(40, cct=6400, duv=0.0040)],
        HeadSetup("softbox"): [
            read(100, "softbox", cct=5450, duv=-0.0008),
            read(70, "softbox", cct=5700, duv=0.0018),
            read(40, "softbox", cct=5950, duv=0.0060),
        ],
    }
    first, drift = sentences(rows, TRADE)
    assert first.startswith("At 100\u202f%, bare: ")
    # At full it is 14 mired warmer and 0.0022 greener.
    assert drift == (
        "At 40\u202f% it is less than an eighth CTB cooler, about a quarter greener. "
        "With softbox: less than an eighth CTO warmer, less than an eighth greener."
    )


def test_modifiers_are_held_against_each_other_at_a_level_read_with_both():
    rows = {
        BARE: [read(100, cct=5600, duv=0.0)],
        HeadSetup("dish"): [read(100, "dish", cct=5600, duv=0.0)],
        HeadSetup("silk"): [read(50, "silk", cct=5100, duv=0.0), read(25, "silk", cct=5100, duv=0.0)],
    }
    first, said = sentences(rows, TRADE)
    assert first.startswith("At 50\u202f%, silk: ")
    assert said == "It holds its colour down to 25\u202f%."
    rows[BARE].append(read(50, cct=5600, duv=0.0))
    first, said = sentences(rows, TRADE)
    assert first.startswith("At 100\u202f%, bare: ")
    assert said == (
        "It holds its colour down to 50\u202f%. With silk at 50\u202f%: about an eighth CTO warmer. "
        "With dish it matches bare."
    )
