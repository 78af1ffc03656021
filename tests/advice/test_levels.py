"""What a source reads at the level and with the modifier in use: read, worked out, or refused."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.advice.certainty import certainty
from advisor.advice.levels import in_use, points, used
from advisor.advice.measure import measure
from advisor.advice.prediction import predict_stacks, prepare
from advisor.advice.rack import rack_of
from advisor.advice.target import white_of
from advisor.model import EXACT, Reading, Refused, Setting, Source, Target
from tests.advice.rows import nominal
from tests.strategies import STEADY

A, B = (0.45, 0.41), (0.50, 0.41)


def at(level, cct=3200.0, duv=0.0, lux=None, **tags):
    return Reading(cct=cct, duv=duv, lux=lux, level=level, **tags)


def lamp(*readings, **use):
    *older, newest = readings
    return Source(name="Lamp", kind="tungsten", reading=newest, readings=older, **use)


def refused(source):
    with pytest.raises(Refused) as no:
        in_use(source)
    [problem] = no.value.problems
    return problem


class TestInterpolation:
    def test_a_worked_example(self):
        """50 % lies half way from 25 % to 100 % in the logarithm: u, v half way, lux the geometric mean.

        u = 4x / (−2x + 12y + 3), v = 6y / (−2x + 12y + 3): CIE 15:2018. A is 1.80/7.02, 2.46/7.02; B is
        2.00/6.92, 2.46/6.92.
        """
        dim, full = Reading(xy=B, lux=100, level=25), Reading(xy=A, lux=400, level=100)
        use = in_use(lamp(dim, full, level=50))
        assert measure(use.reading).uv == pytest.approx([0.272714, 0.352959], abs=2e-6)
        assert use.reading.lux == pytest.approx(200)
        assert use.reading.level == 50
        assert use.notes == ("Worked out between the readings at 25 % and 100 %.",)
        # A tenth of the way to the nearest in Δu′v′, half of (0.032607, 1.5 × 0.005064).
        assert not use.beyond and use.doubt == pytest.approx(0.001674, abs=2e-6)

    def test_at_a_level_that_was_read_it_is_the_reading_itself(self):
        dim, full = at(60, 2790, lux=215, ra=98), at(100, 3190, lux=640)
        for level, reading in ((60, dim), (100, full)):
            use = in_use(lamp(dim, full, level=level))
            assert use.reading is reading
            assert (use.notes, use.beyond, use.doubt) == ((), False, 0.0)

    def test_of_four_levels_the_two_neighbours_count(self):
        use = in_use(lamp(at(40, 2560), at(60, 2790), at(80, 3010), at(100, 3190), level=70))
        assert use.notes == ("Worked out between the readings at 60 % and 80 %.",)
        assert 2790 < use.reading.cct < 3010

    def test_where_one_neighbour_has_no_lux_there_is_none(self):
        assert in_use(lamp(at(50, lux=80), at(100), level=70)).reading.lux is None

    @given(
        st.dictionaries(
            st.integers(1, 100),
            st.tuples(st.floats(2200, 7000), st.floats(-0.01, 0.01), st.floats(0.02, 1e5)),
            min_size=2,
            max_size=5,
        ),
        st.floats(0, 1),
    )
    @STEADY
    def test_between_neighbours_the_light_and_the_white_lie_between_theirs(self, read, share):
        levels = sorted(read)
        level = min(max(levels[0] * (levels[-1] / levels[0]) ** share, levels[0]), levels[-1])
        readings = [at(k, *read[k]) for k in levels]
        use = in_use(lamp(*readings, level=level))
        low, high = max(k for k in levels if k <= level), min(k for k in levels if k >= level)
        low, high = readings[levels.index(low)], readings[levels.index(high)]
        assert min(low.lux, high.lux) * (1 - 1e-9) <= use.reading.lux <= max(low.lux, high.lux) * (1 + 1e-9)
        a, b, here = (measure(r).uv for r in (low, high, use.reading))
        way, gone = b - a, here - a
        across = way[0] * gone[1] - way[1] * gone[0]
        # 3e-6: a white goes into CCT and Duv and back, which is good to about a millionth.
        assert abs(across) <= 3e-6 * np.hypot(*way) + 1e-15
        assert -3e-6 <= gone @ way / max(np.hypot(*way), 1e-12) <= np.hypot(*way) + 3e-6

    @given(st.permutations([at(k, 2500 + 7 * k, lux=k**2) for k in (20, 40, 60, 80)]), st.floats(1, 100))
    @STEADY
    def test_the_order_in_which_levels_were_read_does_not_matter(self, readings, level):
        newest = at(100, 3190, lux=1e4)
        here = in_use(lamp(*readings, newest, level=level))
        assert here == in_use(lamp(*sorted(readings, key=lambda r: r.level), newest, level=level))


class TestBeyond:
    def test_it_is_drawn_on_and_says_so(self):
        """From 100 % over 50 % to 25 %: as far again in u, v; the light falls by the same factor."""
        use = in_use(lamp(Reading(xy=B, lux=100, level=50), Reading(xy=A, lux=400, level=100), level=25))
        assert use.beyond
        [note] = use.notes
        assert note == "Beyond what was read: drawn on from 50 % and 100 % to 25 %. Read it there."
        assert measure(use.reading).uv == pytest.approx([0.321624, 0.360555], abs=3e-6)
        assert use.reading.lux == pytest.approx(25)
        # Half of the way from the nearest reading, B.
        assert use.doubt == pytest.approx(0.5 * np.hypot(0.032607, 1.5 * 0.005064), abs=3e-6)

    def test_above_the_highest_level_too(self):
        use = in_use(lamp(at(20, 2400, lux=10), at(40, 2700, lux=40), level=80))
        assert use.beyond and use.reading.cct > 2700 and use.reading.lux == pytest.approx(160)

    def test_with_one_level_only_nothing_is_drawn_on(self):
        use = in_use(lamp(at(100, 3190, lux=640), level=50))
        assert use.beyond
        assert (use.reading.cct, use.reading.lux, use.reading.level) == (3190, 640, 50)
        assert "at 50 % is not known. Read it there." in use.notes[0]

    def test_what_leads_to_no_light_is_refused(self):
        problem = refused(lamp(at(90, 1500), at(100, 3200), level=5))
        assert problem.where == "level"
        assert "what the readings lead to at 5 %" in problem.says

    @pytest.mark.parametrize(("dim", "full", "lux"), [(1000.0, 10.0, 1e6), (10.0, 1000.0, 0.01)])
    def test_light_drawn_on_very_far_stays_within_what_a_reading_can_have(self, dim, full, lux):
        use = in_use(lamp(at(99, lux=dim), at(100, lux=full), level=1))
        assert use.beyond and use.reading.lux == lux


class TestTags:
    def test_the_newest_of_two_with_one_tag_counts_and_both_are_kept(self):
        source = lamp(at(100, 3190), at(60, 2790), at(60, 2700), at(80, 3010), level=60)
        use = in_use(source)
        assert use.reading.cct == 2700
        assert use.notes == ("Read more than once at 60 %: the newest counts, the others are kept.",)
        assert len(source.readings) == 3
        assert points([*source.readings, source.reading])[1] == [60]

    def test_a_level_without_a_tagged_reading_is_refused_with_what_to_do(self):
        problem = refused(lamp(Reading(cct=3190, duv=0), level=60))
        assert problem.where == "level"
        assert problem.says == "the source is used at 60 %, and no reading says at which level it was taken"
        assert "a reading with its dim level" in problem.allowed

    def test_readings_of_other_settings_are_no_help_and_it_says_so(self):
        dialled = Reading(cct=5600, duv=0, dial=Setting(cct=5600))
        problem = refused(lamp(at(60, dial=Setting(cct=3200)), dialled, level=60))
        assert "no reading at its present setting says at which level" in problem.says

    def test_a_modifier_that_was_never_read_is_refused_with_those_that_were(self):
        problem = refused(lamp(at(100, modifier="Grid"), at(100), modifier="Softbox"))
        assert problem.where == "modifier"
        assert problem.says == "no reading was taken with 'Softbox'"
        assert problem.allowed == "a reading with it, or one of: Grid, none"

    def test_without_a_modifier_is_one_to_choose_too(self):
        problem = refused(lamp(at(100, modifier="Grid"), modifier=""))
        assert problem.says == "no reading was taken without a modifier"

    def test_only_readings_with_the_modifier_in_use_count(self):
        soft = [at(50, 2600, modifier="Softbox"), at(100, 3000, modifier="softbox")]
        bare = [at(50, 2800), at(100, 3200)]
        assert in_use(lamp(*soft, *bare, modifier="SOFTBOX")).reading.cct == 3000
        assert in_use(lamp(*soft, *bare, modifier="Softbox", level=50)).reading.cct == 2600
        assert in_use(lamp(*soft, *bare, level=50)).reading.cct == 2800  # as in the newest reading

    def test_each_setting_of_the_dials_has_a_line_of_its_own(self):
        warm, cool = Setting(cct=3200), Setting(cct=5600)
        readings = [at(50, 3000, dial=warm), at(100, 3200, dial=warm), at(50, 5400, dial=cool)]
        use = in_use(lamp(*readings, at(100, 5600, dial=cool), level=70))
        assert 5400 < use.reading.cct < 5600
        assert use.reading.dial == cool

    def test_what_was_read_behind_gels_is_no_point_of_the_line(self):
        behind = at(50, 4000, gels=["CTB 1/2"])
        assert "no reading says" in refused(lamp(behind, Reading(cct=3200, duv=0), level=50)).says

    def test_without_level_and_modifier_it_is_the_reading_that_counts(self):
        source = lamp(at(50, 2800), at(100, 3200))
        assert in_use(source).reading is source.reading

    def test_used_puts_it_in_the_readings_place(self):
        source = lamp(at(50, 2800), at(100, 3200), level=50)
        assert used(source).reading.cct == 2800
        assert used(source).readings == source.readings


class TestConsequences:
    def test_the_doubt_joins_the_uncertainty_as_a_square(self):
        rack, white = rack_of(tuple(nominal())), white_of(Target(cct=5600), [])
        source = lamp(at(25, 2500), at(100, 3200), level=50)
        bare = prepare(source, rack, white)
        assert bare.doubt == in_use(source).doubt > 0
        stacks = np.array([[rack.find(["CTB 1/2"])[0]]])
        [outcomes] = predict_stacks([bare], rack, stacks)
        sure = [
            certainty(replace(bare, doubt=doubt), rack, stacks, outcomes, EXACT).steps[0]
            for doubt in (0.0, bare.doubt)
        ]
        # CIE TN 001:2014: a step is 0.0011 Δu′v′
        assert sure[1] ** 2 - sure[0] ** 2 == pytest.approx((bare.doubt / 0.0011) ** 2)

    def test_a_target_that_matches_a_source_is_its_white_as_it_is_used(self):
        key = lamp(at(50, 2800, 0.001), at(100, 3200), level=50).model_copy(update={"name": "Key"})
        white = white_of(Target(source="Key"), [key])
        assert (white.cct, white.duv) == (2800, 0.001)

    def test_a_source_that_cannot_be_used_so_cannot_be_matched(self):
        key = lamp(Reading(cct=3200, duv=0), level=50)
        with pytest.raises(Refused, match="Lamp cannot be matched: the source is used at 50 %"):
            white_of(Target(source="Lamp"), [key])
