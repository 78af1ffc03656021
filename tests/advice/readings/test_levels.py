"""What a source reads at the level and with the modifier in use: read, worked out, or refused."""

import itertools
from dataclasses import replace
from math import exp, log

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.advice.readings.chromaticity import measure
from advisor.advice.readings.dim_curve import line_of, points
from advisor.advice.readings.dim_levels import in_use
from advisor.advice.readings.target import white_of
from advisor.advice.stacks.gel_arrays import gel_arrays_of
from advisor.advice.stacks.prediction import prepare
from advisor.advice.stacks.uncertainty import certainty
from advisor.colour.observer.chromaticity import delta_uv_prime
from advisor.model import EXACT, Kind, Reach, Reading, Refused, Setting, Source, Target
from tests.advice.rows import nominal
from tests.strategies import STEADY


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
        """50 % lies half way from 25 % to 100 % in the logarithm: mireds, Duv and log lux half way."""
        dim, full = at(25, 2500, 0.003, lux=100), at(100, 3200, -0.001, lux=400)
        use = in_use(lamp(dim, full, level=50))
        # (400 + 312.5) / 2 = 356.25 MK⁻¹
        assert use.reading.cct == pytest.approx(1e6 / 356.25)
        assert use.reading.duv == pytest.approx(0.001)
        assert use.reading.lux == pytest.approx(200)
        assert use.reading.level == 50
        assert use.notes == ("Worked out between the readings at 25 % and 100 %.",)
        # A tenth of the way to the nearest.
        nearest = min(float(delta_uv_prime(measure(use.reading).uv, measure(r).uv)) for r in (dim, full))
        assert use.doubt == pytest.approx(0.1 * nearest)

    def test_at_a_level_that_was_read_it_is_the_reading_itself(self):
        dim, full = at(60, 2790, lux=215, ra=98), at(100, 3190, lux=640)
        for level, reading in ((60, dim), (100, full)):
            use = in_use(lamp(dim, full, level=level))
            assert use.reading is reading
            assert (use.notes, use.doubt) == ((), 0.0)

    def test_on_the_line_a_white_that_was_read_is_exact(self):
        """Worked out there, it would be off by the way over mireds and back."""
        readings = [Reading(xy=(0.4599, 0.4106), level=40), Reading(xy=(0.4234, 0.399), level=100)]
        line = line_of(lamp(*readings))
        for reading in readings:
            assert line.white_at(reading.level).uv.tolist() == measure(reading).uv.tolist()

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
    def test_between_neighbours_all_lies_between_theirs_and_goes_one_way(self, read, share):
        levels = sorted(read)
        reach = log(levels[-1] / levels[0])
        inside = sorted(
            min(levels[0] * exp(reach * s), levels[-1]) for s in (share, share / 2, 1 - share / 3)
        )
        readings = [at(k, *read[k]) for k in levels]
        uses = [in_use(lamp(*readings, level=max(level, 1.0))).reading for level in inside]
        for (low, high), figure in itertools.product(itertools.pairwise(readings), ("cct", "duv", "lux")):
            here = [low, *(u for u in uses if low.level < u.level < high.level), high]
            way = [getattr(r, figure) for r in here]
            ends = sorted((way[0], way[-1]))
            assert all(ends[0] - abs(ends[0]) * 1e-9 <= v <= ends[1] + abs(ends[1]) * 1e-9 for v in way)
            rises = [(b - a) * (way[-1] - way[0]) for a, b in itertools.pairwise(way)]
            assert min(rises) >= -1e-9 * max(abs(v) for v in way) ** 2

    def test_a_lamp_that_stays_by_the_locus_stays_there_between(self):
        """A straight line in (u, v) would leave it: it dips to Duv −0.0009 at 29 %, beyond all three."""
        readings = [at(20, 2300, -0.0007), at(50, 2750, -0.0004), at(100, 3200, -0.0003)]
        line = line_of(lamp(*readings))
        duvs = [line.white_at(level).duv for level in range(20, 101)]
        assert duvs == sorted(duvs) and (duvs[0], duvs[-1]) == (-0.0007, -0.0003)

    @given(st.permutations([at(k, 2500 + 7 * k, lux=k**2) for k in (20, 40, 60, 80)]), st.floats(1, 100))
    @STEADY
    def test_the_order_in_which_levels_were_read_does_not_matter(self, readings, level):
        newest = at(100, 3190, lux=1e4)
        here = in_use(lamp(*readings, newest, level=level))
        assert here == in_use(lamp(*sorted(readings, key=lambda r: r.level), newest, level=level))


class TestBeyond:
    def test_it_is_drawn_on_and_says_so(self):
        """From 100 % over 50 % to 25 %: as far again in mireds and Duv, and by the same factor in light."""
        read = at(50, 2500, 0.001, lux=100), at(100, 3200, 0.0, lux=400)
        use = in_use(lamp(*read, level=25))
        [note] = use.notes
        assert note == "25 % is a guess from 50 % and 100 %. Read it there."
        # 400 + (400 − 312.5) = 487.5 MK⁻¹
        assert use.reading.cct == pytest.approx(1e6 / 487.5)
        assert use.reading.duv == pytest.approx(0.002)
        assert use.reading.lux == pytest.approx(25)
        # Half of the way from the nearest reading.
        away = float(delta_uv_prime(measure(use.reading).uv, measure(read[0]).uv))
        assert use.doubt == pytest.approx(0.5 * away)

    def test_above_the_highest_level_too(self):
        use = in_use(lamp(at(20, 2400, lux=10), at(40, 2700, lux=40), level=80))
        assert "80 % is a guess from 20 % and 40 %" in use.notes[0]
        assert use.reading.cct > 2700 and use.reading.lux == pytest.approx(160)

    def test_with_one_level_only_nothing_is_drawn_on_and_it_is_in_doubt(self):
        """Its light there is not known, and its colour may be off by five steps of 0.0011 Δu′v′.

        That is of a lamp that does not dim warm; tungsten is in `test_dims_warm`.
        """
        use = in_use(lamp(at(100, 3190, lux=640), level=50).model_copy(update={"kind": Kind.LED_WHITE}))
        assert (use.reading.cct, use.reading.lux, use.reading.level) == (3190, None, 50)
        assert use.doubt == pytest.approx(5 * 0.0011)
        assert "at 50 % is not known. Read it there." in use.notes[0]

    def test_what_leads_to_no_light_is_refused(self):
        problem = refused(lamp(at(90, 1500), at(100, 3200), level=5))
        assert problem.where == "level"
        assert "what the readings lead to at 5 %" in problem.says

    @pytest.mark.parametrize(("dim", "full", "lux"), [(1000.0, 10.0, 1e6), (10.0, 1000.0, 0.01)])
    def test_light_drawn_on_very_far_stays_within_what_a_reading_can_have(self, dim, full, lux):
        use = in_use(lamp(at(99, lux=dim), at(100, lux=full), level=1))
        assert use.reading.lux == lux


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
        assert "a bare reading at 60 %" in problem.allowed

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


class TestConsequences:
    def test_the_doubt_joins_the_uncertainty_as_a_square(self):
        gel_arrays, white = gel_arrays_of(tuple(nominal())), white_of(Target(cct=5600), [])
        source = lamp(at(25, 2500), at(100, 3200), level=50)
        bare = prepare(source, gel_arrays, white)
        assert bare.doubt == in_use(source).doubt > 0
        stacks = np.array([[gel_arrays.find(["CTB 1/2"])[0]]])
        none, some = (
            certainty(replace(bare, doubt=doubt), gel_arrays, stacks, EXACT) for doubt in (0.0, bare.doubt)
        )
        # CIE TN 001:2014, from memory: a step is 0.0011 Δu′v′
        doubt = bare.doubt / 0.0011
        assert some.steps[0] ** 2 - none.steps[0] ** 2 == pytest.approx(doubt**2)
        # It is what holds nine in ten along a line (1.645 standard deviations), shared out to both axes.
        shared = np.eye(2) * (doubt / 1.645) ** 2 / 2.0
        np.testing.assert_allclose(some.covariance[0] - none.covariance[0], shared, rtol=1e-9, atol=1e-12)

    def test_a_target_that_matches_a_source_is_its_white_as_it_is_used(self):
        key = lamp(at(50, 2800, 0.001), at(100, 3200), level=50).model_copy(update={"name": "Key"})
        white = white_of(Target(source="Key"), [key])
        assert (white.cct, white.duv) == (2800, 0.001)

    def test_a_source_that_cannot_be_used_so_cannot_be_matched(self):
        key = lamp(Reading(cct=3200, duv=0), level=50)
        with pytest.raises(Refused, match="Lamp cannot be matched: the source is used at 50 %"):
            white_of(Target(source="Lamp"), [key])


class TestDials:
    """An invented head with dials, of which one setting alone was dimmed."""

    COOL, WARM = Setting(cct=5000), Setting(cct=3000)

    def head(self, **use):
        readings = [
            at(100, cct=5000, duv=0.0010, lux=2000, dial=self.COOL),
            at(25, cct=4800, duv=0.0030, lux=500, dial=self.COOL),
            at(100, cct=3000, duv=0.0, lux=1200, dial=self.WARM),
        ]
        return lamp(*readings, reach=Reach(cct_from=2700, cct_to=6500), **use)

    def test_what_was_read_at_one_level_dims_as_another_setting_does(self):
        """From full to a quarter the other moves by 1e6/4800 - 1e6/5000 mired, 0.0020 in Duv, 2 stops."""
        use = in_use(self.head(level=25))
        white = measure(use.reading)
        assert white.mired == pytest.approx(1e6 / 3000 + 1e6 / 4800 - 1e6 / 5000, abs=0.01)
        assert white.duv == pytest.approx(0.0020, abs=1e-5)
        assert use.reading.lux == pytest.approx(300)
        assert (use.reading.level, use.reading.dial) == (25, self.WARM)
        [note] = (note.replace("\u202f", " ").replace("\xa0", " ") for note in use.notes)
        assert note == "These dials were read at 100 % only: 25 % goes by how it dims at 5 000 K."

    def test_half_of_what_it_moves_by_is_in_doubt(self):
        moved = delta_uv_prime(measure(at(100, cct=5000, duv=0.0010)).uv, measure(at(25, 4800, 0.0030)).uv)
        assert in_use(self.head(level=25)).doubt == pytest.approx(0.5 * moved + 0.0011)

    def test_a_level_that_no_setting_was_read_at_is_worked_out_between(self):
        halfway = in_use(self.head(level=50)).reading
        assert measure(halfway).duv == pytest.approx(0.0010, abs=1e-5)
        assert halfway.lux == pytest.approx(600)

    def test_where_no_setting_was_dimmed_nothing_is_known(self):
        cool = at(100, cct=5000, dial=self.COOL)
        source = lamp(cool, at(100, dial=self.WARM), reach=Reach(cct_from=2700, cct_to=6500), level=50)
        assert "is not known" in in_use(source).notes[0]
