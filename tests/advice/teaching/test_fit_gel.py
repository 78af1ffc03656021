"""How sure a taught row is, by lamps that are known and lamps that are guessed. Every lamp is invented."""

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.advice.teaching.teach import Question, ReadingPair, from_pairs
from advisor.colour.observer.cct import uv_of_cct_duv
from advisor.colour.observer.chromaticity import xyz_of_uv
from advisor.colour.observer.grid import WAVELENGTHS, weights
from advisor.colour.observer.loci import planckian
from advisor.colour.spectra import dyes, gels
from advisor.model import EXACT, ON_SET, Known, Reading, Source
from tests.advice.pairs import gelled, head, read
from tests.advice.taught import ROW, TABLE, flat, from_pair, within_doubt
from tests.strategies import STEADY
from tests.thorough import cases

GENERIC = {"known": Known.GENERIC}
CTB = ROW["CTB full"].model_copy(update=GENERIC)
CTO = ROW["CTO 1/4"].model_copy(update=GENERIC)
PERCENT_OF_CTB, PERCENT_OF_CTO = 12.0, 25.0


def mixed(cct, *bands, white=0.0):
    """Mix bands (nm, nm wide) to a white, with a share of broad light, as a colour-mixing LED does."""
    broad = np.exp(-0.5 * ((WAVELENGTHS - 560.0) / 45.0) ** 2)
    broad *= white / (broad @ weights()[:, 1])
    wanted = xyz_of_uv(uv_of_cct_duv(np.array(cct), np.array(0.001)))
    parts = np.array([np.exp(-0.5 * ((WAVELENGTHS - at) / wide) ** 2) for at, wide in bands])
    amounts = np.linalg.solve((parts @ weights()).T, wanted / wanted[1] - broad @ weights())
    assert (amounts > 0).all()
    return amounts @ parts + broad


MIXING = {
    "narrow": mixed(3200.0, (638, 9), (532, 16), (468, 10)),
    "with white": mixed(3200.0, (630, 8), (520, 14), (460, 9), white=0.3),
    "with more white": mixed(3200.0, (628, 9), (518, 13), (455, 9), white=0.5),
    "cool, with white": mixed(4500.0, (630, 8), (520, 14), (460, 9), white=0.3),
}


def sheet_of(row, strength=1.1, by=12.0):
    """Make a sheet of other dyes, some per cent off its label; give its shift and its transmittance."""
    shift = np.array([row.mired * strength]), np.array([row.cc * strength])
    [sheet] = gels.transmittances(*shift, np.array([np.nan]), dyes=dyes.shifted(by, by, 1.2))
    return row.mired * strength, row.cc * strength, sheet


def read_through(spectrum, kind, sheet, accuracy=ON_SET):
    lamp = Source(name="Head", kind=kind, reading=read(spectrum, None))
    return ReadingPair(lamp, read(spectrum * sheet, None), accuracy)


class TestWhatLampsTeach:
    @pytest.mark.parametrize("name", list(MIXING))
    def test_a_colour_mixing_led_does_not_poison_a_full_ctb(self, name):
        mired, cc, sheet = sheet_of(CTB)
        lesson = from_pairs(CTB, [read_through(MIXING[name], "led-mix", sheet)], TABLE)
        assert abs(lesson.new.cc - cc) <= 2
        assert within_doubt(lesson, mired, cc)

    def test_tungsten_teaches_as_nearly_as_the_meter_allows(self):
        mired, cc, sheet = sheet_of(CTB)
        exact = from_pairs(CTB, [read_through(planckian(3200.0), "tungsten", sheet, EXACT)], TABLE)
        assert exact.new.mired == pytest.approx(mired, abs=2)
        assert exact.new.cc == pytest.approx(cc, abs=0.5)
        metered = from_pairs(CTB, [read_through(planckian(3200.0), "tungsten", sheet)], TABLE)
        assert within_doubt(metered, mired, cc)
        assert exact.fit.percent < metered.fit.percent < 0.5 * PERCENT_OF_CTB

    def test_lamps_whose_spectrum_is_told_teach_more(self):
        _, _, sheet = sheet_of(CTB)
        by_tungsten = from_pairs(CTB, [read_through(planckian(3200.0), "tungsten", sheet)], TABLE)
        by_mixing = from_pairs(CTB, [read_through(MIXING["with white"], "led-mix", sheet)], TABLE)
        assert by_tungsten.fit.alone_percent < 0.4 * by_mixing.fit.alone_percent
        assert by_tungsten.fit.doubt[1] < by_mixing.fit.doubt[1]

    def test_light_of_one_wavelength_teaches_nothing(self):
        """Low-pressure sodium reads 1 766 K behind whatever gel."""
        street = head("sodium", 1766.0, 0.0070, lux=None)
        lesson = from_pair(CTO, street, street.reading, accuracy=ON_SET)
        assert lesson.fit.percent > 0.9 * PERCENT_OF_CTO
        assert lesson.fit.alone_percent > 100

    def test_one_lamp_stays_what_it_is_however_often_it_is_read(self):
        _, _, sheet = sheet_of(CTB)
        pair = read_through(MIXING["with white"], "led-mix", sheet)
        once, often = (from_pairs(CTB, [pair] * n, TABLE).fit for n in (1, 12))
        assert 0.85 * once.percent < often.percent <= once.percent

    def test_another_kind_of_lamp_tells_more_than_another_of_the_kind(self):
        row = ROW["CTB 1/2"].model_copy(update=GENERIC)
        white, other, tube = (
            ReadingPair(head(kind, cct, lux=None), gelled(head(kind, cct, lux=None), row), EXACT)
            for kind, cct in (("led-white", 3200), ("led-white", 3300), ("fluorescent", 3200))
        )
        alike, apart = (from_pairs(row, [white, second], TABLE).fit for second in (other, tube))
        assert apart.alone_percent < alike.alone_percent


def some_pairs(row):
    """Make exact pairs of readings on lamps of all sorts, each a little beside what the row says."""

    def made(kind, cct, warmer, greener):
        lamp = head(kind, cct, lux=None)
        after = gelled(lamp, row)
        return ReadingPair(lamp, Reading(cct=after.cct * (1 + warmer), duv=after.duv + greener), ON_SET)

    ccts = {"tungsten": 3200, "daylight": 5600, "led-white": 4000, "led-mix": 4000, "fluorescent": 4000}
    kinds = st.sampled_from(list(ccts.items()))
    off = st.floats(-0.02, 0.02), st.floats(-0.001, 0.001)
    pair = st.builds(lambda lamp, warmer, greener: made(*lamp, warmer, greener), kinds, *off)
    return st.lists(pair, min_size=1, max_size=4)


class TestSeveralPairs:
    @settings(STEADY, max_examples=cases(20, 2))
    @given(some_pairs(CTO), st.randoms(use_true_random=False))
    def test_their_order_does_not_matter(self, pairs, random):
        first = from_pairs(CTO, pairs, TABLE)
        mixed_up = random.sample(pairs, len(pairs))
        second = from_pairs(CTO, mixed_up, TABLE)
        assert second.new.mired == pytest.approx(first.new.mired, abs=0.011)
        assert second.new.cc == pytest.approx(first.new.cc, abs=0.011)
        assert second.fit.percent == pytest.approx(first.fit.percent)

    @settings(STEADY, max_examples=cases(20, 2))
    @given(some_pairs(CTO))
    def test_one_more_never_makes_a_row_less_sure(self, pairs):
        fits = [from_pairs(CTO, pairs[:n], TABLE).fit for n in range(1, len(pairs) + 1)]
        for fewer, more in pairwise(fits):
            assert more.percent <= fewer.percent + 1e-9
            assert (np.array(more.doubt) <= np.array(fewer.doubt) + 1e-9).all()

    @pytest.mark.parametrize(("kind", "cct"), [("tungsten", 3200), ("led-mix", 4000), ("fluorescent", 4000)])
    @pytest.mark.parametrize("row", [CTO, CTB, ROW["Plus green 1/2"]], ids=lambda row: row.name)
    def test_a_pair_that_says_what_the_row_says_changes_nothing_but_the_doubt(self, row, kind, cct):
        lamp = head(kind, cct, lux=None)
        lesson = from_pair(row, lamp, gelled(lamp, row), accuracy=ON_SET)
        assert lesson.new.mired == pytest.approx(row.mired, abs=0.011)
        assert lesson.new.cc == pytest.approx(row.cc, abs=0.011)
        assert lesson.fit.percent < (row.off_percent or 25.0)
        assert lesson.question is None

    def test_taught_again_with_one_more_is_taught_once_with_both(self):
        stronger = CTO.model_copy(update={"mired": 44.0})
        lamps = [head("tungsten", 3200, lux=None), head("daylight", 5600, lux=None)]
        pairs = [ReadingPair(lamp, gelled(lamp, stronger)) for lamp in lamps]
        once = from_pairs(CTO, pairs, TABLE).new
        first = from_pairs(CTO, pairs[:1], TABLE).new
        assert from_pairs(first, pairs, TABLE, CTO).new == once
        assert once.percent < first.percent < PERCENT_OF_CTO


class TestWhatIsAsked:
    HEAD = head("tungsten", 3200, lux=None)

    def swatch(self, name, **changed):
        return ROW[name].model_copy(update={"known": Known.SWATCH, **changed})

    def test_a_measured_curve_does_not_give_way_unasked(self):
        row = ROW["ND 0.3"].model_copy(update={"transmittance": flat(0.5)})
        lesson = from_pair(row, self.HEAD, gelled(self.HEAD, row), [row])
        assert lesson.question is Question.CURVE

    def test_a_swatch_book_knows_better_than_a_colour_mixing_led(self):
        row = self.swatch("CTB full")
        _, _, sheet = sheet_of(row, 1.02)
        pair = read_through(MIXING["with white"], "led-mix", sheet)
        lesson = from_pairs(row, [pair], TABLE)
        assert lesson.question is Question.BETTER
        assert lesson.fit.alone_percent > 5 >= lesson.fit.percent

    def test_a_swatch_book_and_a_meter_that_contradict_each_other(self):
        row = self.swatch("CTO 1/2")
        after = gelled(self.HEAD, row.model_copy(update={"mired": 1.25 * row.mired}))
        lesson = from_pair(row, self.HEAD, after, accuracy=ON_SET)
        assert lesson.question is Question.CONTRADICTS
        alone = from_pair(row, self.HEAD, after, accuracy=ON_SET, afresh=True)
        assert alone.question is None
        assert row.mired < lesson.new.mired < alone.new.mired
        assert within_doubt(alone, 1.25 * row.mired, 0.0)

    def test_fewer_pairs_than_a_row_was_taught_by_are_asked_about(self):
        pairs = [
            ReadingPair(lamp, gelled(lamp, CTO)) for lamp in (self.HEAD, head("daylight", 5600, lux=None))
        ]
        taught = from_pairs(CTO, pairs, TABLE).new
        assert from_pairs(taught, pairs[1:], TABLE, CTO).question is Question.BETTER

    def test_a_generic_row_gives_way(self):
        after = gelled(self.HEAD, CTO.model_copy(update={"mired": 40.0}))
        assert from_pair(CTO, self.HEAD, after, accuracy=ON_SET).question is None
