"""Two days of one shot: what drifted, what the meter cannot tell, what is not the same light behind gels."""

import pytest

from advisor.advice.overview.two_days import behind_gels, compare_days
from advisor.advice.plan.make import make_plan
from advisor.model import EXACT, ON_SET, Gel, Limits, Reading, Setting, Source, StandMove, Target
from tests.web.page import plain

TARGET = Target(cct=5600)
GELS = [Gel(family="CTO", fraction="1/4", mired=34), Gel(family="CTB", fraction="1/4", mired=-33)]


def lamp(name="Key", cct=5600.0, duv=0.003, lux=1000.0, readings=(), **fields) -> Source:
    tags = {k: fields.pop(k) for k in ("level", "modifier", "dial") if k in fields}
    reading = Reading(cct=cct, duv=duv, lux=lux, **tags)
    return Source(name=name, reading=reading, readings=list(readings), **fields)


def behind(cct, duv=0.003, lux=700.0, gels=("CTO 1/4",)) -> Reading:
    return Reading(cct=cct, duv=duv, lux=lux, gels=list(gels))


def days(then, now, accuracy=ON_SET, copied=()):
    plans = [make_plan(sources, TARGET, Limits(accuracy=accuracy), GELS) for sources in (then, now)]
    return compare_days(*plans, accuracy, accuracy, copied)


def pair(then, now, accuracy=ON_SET):
    [found] = days([then], [now], accuracy).pairs
    return found


def test_within_the_meters_tolerance_nothing_drifted():
    moved = pair(lamp(cct=5600), lamp(cct=5540, duv=0.0035)).bare
    assert not moved.drifted
    assert 0.5 < moved.steps < moved.detectable_steps


def test_beyond_it_the_words_say_which_way():
    moved = pair(lamp(cct=5600, duv=0.003), lamp(cct=4700, duv=0.009)).bare
    assert moved.drifted and moved.colour and not moved.light
    assert moved.words == "about a quarter CTO warmer, between an eighth and a quarter greener"


def test_the_tolerance_is_that_of_two_readings():
    """At 5 600 K, 2 % is 3.57 MK⁻¹; twice, as squares, the square root of two as much."""
    only_cct = ON_SET.model_copy(update={"meter_duv": 0.0})
    tells = pair(lamp(), lamp(), only_cct).bare.detectable_steps
    on_edge = 1e6 / (1e6 / 5600 + 2**0.5 * 0.02 * 1e6 / 5600)
    assert pair(lamp(), lamp(cct=on_edge), only_cct).bare.steps == pytest.approx(tells, rel=0.02)


def test_the_tolerances_of_both_days_count():
    def tells(then, now):
        plans = [make_plan([lamp()], TARGET, Limits(), GELS)] * 2
        return compare_days(*plans, then, now).pairs[0].bare.detectable_steps

    assert tells(EXACT, EXACT) == 0.1
    assert tells(ON_SET, EXACT) == tells(EXACT, ON_SET)
    assert tells(ON_SET, ON_SET) == pytest.approx(2**0.5 * tells(ON_SET, EXACT))


def test_readings_taken_at_their_word_drift_by_what_a_meter_shows():
    assert not pair(lamp(cct=5600), lamp(cct=5601), EXACT).bare.drifted
    assert pair(lamp(cct=5600), lamp(cct=5610), EXACT).bare.drifted


def test_light_drifts_in_stops():
    moved = pair(lamp(lux=1000), lamp(lux=500)).bare
    assert (moved.stops, moved.colour, moved.light, moved.drifted) == (-1.0, False, True, True)
    assert not pair(lamp(lux=1000), lamp(lux=1000 * 2 ** (0.18))).bare.light
    assert pair(lamp(lux=1000), lamp(lux=1000 * 2 ** (0.22))).bare.light
    assert pair(lamp(lux=1000), lamp(lux=None)).bare.stops is None


def test_the_one_that_drifted_most_comes_first():
    then = [lamp("Key"), lamp("Fill"), lamp("Back"), lamp("Same")]
    now = [lamp("Same"), lamp("Key", cct=5000), lamp("Fill", lux=250), lamp("Back", cct=3800)]
    found = days(then, now)
    assert [p.name for p in found.pairs] == ["Same", "Key", "Fill", "Back"]
    assert [p.name for p in found.drifted] == ["Back", "Fill", "Key"]
    assert [(p.then, p.now) for p in found.pairs] == [(3, 0), (0, 1), (1, 2), (2, 3)]


def test_sources_are_paired_by_name_without_regard_to_case():
    found = days([lamp("KEY"), lamp("Straße"), lamp("Door")], [lamp("key"), lamp("STRASSE"), lamp("Hall")])
    assert [p.name for p in found.pairs] == ["key", "STRASSE"]
    assert (found.gone, found.new) == (("Door",), ("Hall",))


def test_it_is_compared_as_it_is_used():
    """At half the level of the newest reading, by the readings there."""
    half = Reading(cct=4900, duv=0.003, lux=400, level=50)
    then = lamp(level=100, readings=[half]).model_copy(update={"level": 50.0})
    warmer = half.model_copy(update={"cct": 4000})
    now = lamp(level=100, readings=[warmer]).model_copy(update={"level": 50.0})
    found = pair(then, now)
    assert (found.bare.then.cct, found.bare.now.cct) == (4900, 4000)
    assert found.otherwise == ""


@pytest.mark.parametrize(
    ("then", "now", "words"),
    [
        ({"level": 100}, {"level": 50}, "at 100 % then, at 50 % now"),
        ({}, {"modifier": "Grid"}, "no modifier then, Grid now"),
        ({"modifier": "grid"}, {"modifier": "Grid"}, ""),
        ({}, {"level": 50}, ""),
        (
            {"dial": Setting(cct=5600)},
            {"dial": Setting(cct=3200, green=2)},
            "dials at 5\N{NARROW NO-BREAK SPACE}600 K then, at 3\N{NARROW NO-BREAK SPACE}200 K, green +2 now",
        ),
    ],
)
def test_what_is_used_otherwise_did_not_drift(then, now, words):
    found = days([lamp(**then)], [lamp(cct=4000, **now)])
    assert plain(found.pairs[0].otherwise) == words
    assert found.pairs[0].comparable == (not words)
    assert bool(found.drifted) == (not words)
    assert found.pairs[0].bare.drifted


def test_what_was_not_read_again_tells_nothing():
    found = days([lamp("Key"), lamp("Fill")], [lamp("Key"), lamp("Fill", cct=4000)], copied={"Key"})
    told = [(p.name, p.copied, p.comparable) for p in found.pairs]
    assert told == [("Key", True, False), ("Fill", False, True)]


def test_behind_what_hung_the_newest_readings_are_compared():
    then = lamp(cct=6500, readings=[behind(5300), behind(5600)])
    now = lamp(cct=6500, readings=[behind(4600, lux=1400)])
    found = days([then, lamp("Fill")], [now, lamp("Fill", readings=[behind(5000)])])
    key, fill = found.pairs
    assert not key.bare.drifted
    assert (key.gelled.then.cct, key.gelled.now.cct, key.gelled.stops) == (5600, 4600, 1.0)
    assert (key.gels_then, key.gels_now) == (("CTO 1/4",), ("CTO 1/4",))
    assert fill.gelled is None
    assert [p.name for p in found.apart] == ["Key"]
    assert behind_gels(lamp()) is None


def test_a_reading_that_is_no_white_has_no_drift():
    far = Source(name="Key", reading=Reading(xy=(0.3, 0.6)))
    found = pair(far, lamp())
    assert (found.bare, found.comparable) == (None, False)


def test_a_level_that_nobody_read_is_not_known():
    found = pair(lamp(), lamp().model_copy(update={"level": 50.0}))
    assert found.bare is None


def test_patches_are_to_an_eye_that_is_set_to_then():
    warm, cool = (pair(lamp(cct=5600), lamp(cct=cct)).bare.patches for cct in (3200, 9000))
    assert warm[0] == cool[0] and len({warm[0][i : i + 2] for i in (1, 3, 5)}) == 1
    assert int(warm[1][1:3], 16) > int(warm[1][5:7], 16)
    assert int(cool[1][1:3], 16) < int(cool[1][5:7], 16)


def test_light_is_compared_as_it_was_metered_on_either_day():
    """A key, read at 165 lx, then said to have moved to 0.645 of its distance, and read there at 158 lx.

    Told for where it stands it would be 397 lx, by the inverse square, which nobody read. log2(158 / 165) is
    −0.06 stop.
    """
    before = lamp(lux=165, stand=StandMove(times=0.645, done=True))
    after = lamp(lux=158, as_far=0.645)
    after = after.model_copy(update={"reading": after.reading.model_copy(update={"as_far": 0.645})})
    found = pair(before, after).bare
    assert (found.lux_then, found.lux_now) == (pytest.approx(165), pytest.approx(158))
    assert found.stops == pytest.approx(-0.0625, abs=0.001)
    assert found.between and not found.drifted


def test_a_stand_that_was_moved_between_the_two_drifted_in_colour_alone():
    """Half as far gives four times the light: 2 stops, and no drift of the lamp."""
    there = Reading(cct=4700, duv=0.003, lux=4000, as_far=0.5)
    after = lamp().model_copy(update={"reading": there, "as_far": 0.5})
    found = pair(lamp(), after).bare
    assert found.stops == pytest.approx(2) and not found.light and found.colour
    assert found.excess == pytest.approx(found.steps / found.detectable_steps)
