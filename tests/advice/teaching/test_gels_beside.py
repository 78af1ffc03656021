"""A gel is taught by what was read behind it and another one: the other one's doubts count. All invented."""

import numpy as np
import pytest

from advisor.advice.stacks.gel_arrays import gel_arrays_of
from advisor.advice.teaching.teach import ReadingPair, from_pairs
from advisor.colour.observer.loci import planckian
from advisor.model import EXACT, Source
from tests.advice.pairs import gelled, head, read
from tests.advice.taught import ROW, TABLE, within_doubt

GEL, OTHER = ROW["CTB full"], ROW["Plus green 1/4"]


def sheet(row, strength):
    """Return the transmittance (81,) of a sheet that is so strong beside its label."""
    made = row.model_copy(update={"mired": row.mired * strength, "cc": row.cc * strength})
    return gel_arrays_of((made,)).transmittances[0]


def behind(kelvin, *, own=1.0, other=1.0, known=OTHER):
    """A lamp read bare and behind both sheets; `known` is the row that the other one is taken for."""
    lit = planckian(np.array(kelvin)).ravel()
    lamp = Source(name="Head", kind="tungsten", reading=read(lit, None))
    return ReadingPair(lamp, read(lit * sheet(GEL, own) * sheet(OTHER, other), None), EXACT, known)


def test_a_sheet_of_its_label_stays_as_it_is():
    lesson = from_pairs(GEL, [behind(3200.0)], TABLE)
    assert lesson.new.mired == pytest.approx(GEL.mired, abs=0.05)
    assert lesson.new.cc == pytest.approx(GEL.cc, abs=0.1)  # the lamp is known by its kind alone
    assert lesson.off_steps < 0.1


@pytest.mark.parametrize("own", [0.85, 1.15])
def test_a_sheet_off_its_label_is_found_within_the_doubt(own):
    lesson = from_pairs(GEL, [behind(3200.0, own=own), behind(2900.0, own=own)], TABLE)
    assert abs(lesson.new.mired - GEL.mired * own) < 0.4 * abs(GEL.mired * (own - 1.0))
    assert within_doubt(lesson, GEL.mired * own, GEL.cc * own)


def test_the_other_sheet_is_doubted_and_so_it_teaches_less():
    """Its error is one error: ten lamps behind it tell no more of it than one."""
    alone = from_pairs(GEL, [ReadingPair(head(lux=None), gelled(head(lux=None), GEL), EXACT)], TABLE)
    wide = OTHER.model_copy(update={"percent": 40.0})
    sure = from_pairs(GEL, [behind(3200.0)], TABLE)
    doubted = from_pairs(GEL, [behind(3200.0, known=wide)], TABLE)
    assert alone.fit.doubt[1] < sure.fit.doubt[1] < doubted.fit.doubt[1]
    many = from_pairs(GEL, [behind(k, known=wide) for k in np.linspace(2850.0, 3350.0, 10)], TABLE)
    assert many.fit.doubt[1] > 0.75 * doubted.fit.doubt[1]


def test_another_sheet_off_its_label_is_within_the_doubt():
    lesson = from_pairs(GEL, [behind(3200.0, other=1.1)], TABLE)
    assert within_doubt(lesson, GEL.mired, GEL.cc)


def test_the_light_lost_behind_both_tells_nothing_of_the_one():
    pair = behind(3200.0)
    lit = [
        reading.model_copy(update={"lux": lux})
        for reading, lux in ((pair.head.reading, 1000.0), (pair.gelled, 100.0))
    ]
    pair = ReadingPair(pair.head.model_copy(update={"reading": lit[0]}), lit[1], EXACT, OTHER)
    assert from_pairs(GEL, [pair], TABLE).new.stops == GEL.stops
