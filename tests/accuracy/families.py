"""Whether the stated chances hold where gels of one family are off their labels alike, or each by itself.

Measured lamps are brought to two targets with generic rows. The sheets that hang are drawn in three ways:
each fraction is off by itself, all of a family are off together, or half and half. Or a few sheets faded.
Each lamp is read bare and behind one gel, and what is then said of stacks of the same family's other gels is
held against what comes of them: how often they are within the stated radius of nine in ten, and within three
steps.

    python -m tests.accuracy.families [--data FOLDER] [--even] [--every N]
"""

import argparse
import sys
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import NamedTuple

import numpy as np

from advisor.advice.learned.informed import judge_of
from advisor.advice.readings.target import white_of
from advisor.advice.stacks.enumerate import NONE
from advisor.advice.stacks.gel_arrays import GelArrays, gel_arrays_of
from advisor.colour.observer.chromaticity import STEP_DELTA_UV, delta_uv_prime
from advisor.colour.observer.data import Array
from advisor.model import Known, Limits, Reading
from tests.accuracy.chance import Tenth, by_tenth
from tests.accuracy.filters import DYE_SETS, DyeSet, filters
from tests.accuracy.lamps import Lamp, NoData, lamps, uv_at_1_nm
from tests.accuracy.regret import TARGETS
from tests.accuracy.rounds import ACCURACY, TOLERANCE, metered, with_reading
from tests.accuracy.trials import Knows, bare_of

WORLDS = {"each by itself": 0.0, "half and half": 0.5, "together": 1.0}
"""What part of the variance of its strength a sheet shares with its family."""
FADED, _ONE_IN = 0.23, 4
"""How much weaker a faded sheet is, as a share, and how many sheets there are to one of them: invented."""
_NINE_IN_TEN = 1.645


class Said(NamedTuple):
    """What was said of stacks and what came of them, each (n,).

    `stated` is the chance to land within the tolerance, `off` [step] how far they are from the target.
    `radius` [step] holds nine in ten, and `error` [step] is how far they are from what was predicted.
    """

    stated: Array
    off: Array
    radius: Array
    error: Array
    lamp: Array

    @property
    def inside(self) -> float:
        """The share that lies within the stated radius."""
        return float((self.error <= self.radius).mean())

    def tenths(self) -> list[Tenth]:
        """Return the ten tenths of the stated chance."""
        return by_tenth(self.stated, self.off <= TOLERANCE, self.lamp)


def strengths(gel_arrays: GelArrays, shared: float, rng: np.random.Generator) -> Array:
    """Draw how strong the sheets are, (n,): a share of their variance is the same for a whole family."""
    families, place = np.unique(gel_arrays.family_keys, return_inverse=True)
    alike, own = rng.standard_normal(len(families))[place], rng.standard_normal(len(place))
    spread = gel_arrays.percent / 100.0 / _NINE_IN_TEN
    return np.asarray(1.0 + spread * (np.sqrt(shared) * alike + np.sqrt(1.0 - shared) * own))


def with_faded(strong: Array, rng: np.random.Generator) -> Array:
    """Return the strengths of sheets (n,), some of which faded since."""
    return strong - FADED * (rng.integers(_ONE_IN, size=len(strong)) == 0)


def others(own: Array, hung: int) -> Array:
    """Return stacks of one or two gels of a family, none of them the one that hung, (m, 2)."""
    left = [gel for gel in own.tolist() if gel != hung]
    pairs = [(one, other) for k, one in enumerate(left) for other in left[k:]]
    return np.array([*((one, NONE) for one in left), *pairs], dtype=np.intp)


def said(
    found: Sequence[Lamp],
    dye_sets: Sequence[DyeSet],
    shared: float,
    *,
    read: bool = True,
    faded: bool = False,
) -> Said:
    """Read each lamp bare and behind one gel, and hold what is said of other stacks of its family to it.

    Without `read` nothing is read behind a gel. With `faded`, some sheets are weaker than drawn.
    """
    rows_of: list[tuple[float, float, float, float, int]] = []
    limits = Limits(tolerance_steps=TOLERANCE, accuracy=ACCURACY)
    for number, dyes in enumerate(dye_sets):
        gels = filters(dyes)
        rows = tuple(row.model_copy(update={"known": Known.GENERIC}) for row in gels.rows)
        gel_arrays = gel_arrays_of(rows)
        order = [[row.name for row in rows].index(name) for name in gel_arrays.names]
        sheets = np.concatenate([gels.transmittances[order], np.ones((1, gels.transmittances.shape[1]))])
        for at, target in enumerate(TARGETS):
            white = white_of(target, [])
            for lamp in found:
                rng = np.random.default_rng([23, number, at, lamp.number])
                family = "CTO" if white.mired > 1e6 / lamp.cct else "CTB"
                own = np.flatnonzero([name.startswith(family) for name in gel_arrays.names])
                strong = strengths(gel_arrays, shared, rng)
                power = np.append(with_faded(strong, rng) if faded else strong, 1.0)
                true = sheets ** power[:, None]
                if (bare_read := metered(lamp.uv, rng)) is None:
                    continue
                seen = replace(lamp, uv=bare_read.uv, cct=bare_read.cct, duv=bare_read.duv)
                bare = bare_of(seen, gel_arrays, white, Knows.READING)
                hung = int(rng.choice(own))
                behind = metered(uv_at_1_nm(lamp.power * true[hung]), rng)
                if behind is None:
                    continue
                if read:
                    name = gel_arrays.names[hung]
                    bare = with_reading(bare, Reading(cct=behind.cct, duv=behind.duv, gels=[name]))
                stacks = others(own, hung)
                judge = judge_of(bare, gel_arrays, limits)
                outcomes, sure = judge.outcomes(stacks), judge.certainty(stacks)
                there = uv_at_1_nm(lamp.power * np.prod(true[stacks], axis=1))
                off = delta_uv_prime(there, white.uv) / STEP_DELTA_UV
                error = delta_uv_prime(outcomes.uv, there) / STEP_DELTA_UV
                each = zip(judge.within(sure), off, sure.steps, error, strict=True)
                rows_of += [(*map(float, one), lamp.number) for one in each]
    return Said(*np.array(rows_of).T)


def main(arguments: list[str] | None = None) -> int:
    """Print the table; the exit status is 1 without data."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("--data", type=Path, help="folder with the lamps' two files")
    parser.add_argument("--even", action="store_true", help="the even rows, which are for tuning")
    parser.add_argument("--every", type=int, default=1, help="only every so many-th lamp")
    asked = parser.parse_args(arguments)
    try:
        found = [lamp for lamp in lamps(asked.data) if lamp.odd is not asked.even][:: asked.every]
    except NoData as no:
        print(no, file=sys.stderr)
        return 1
    worlds = [*((world, shared, False) for world, shared in WORLDS.items()), ("a few faded", 0.5, True)]
    for world, shared, faded in worlds:
        for read in (False, True):
            told = said(found, DYE_SETS[:2], shared, read=read, faded=faded)
            what = "one gel read" if read else "none read"
            print(f"{world}, {what}: {told.inside:.1%} of {len(told.off)} within the stated nine in ten")
            print("  stated", *(f"{one.stated:5.2f}" for one in told.tenths()))
            print("  came  ", *(f"{one.within:5.2f}" for one in told.tenths()))
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
