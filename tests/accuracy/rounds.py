"""How a head is brought in, reading by reading: hang what is advised first, read it, ask again.

Every measured lamp is read bare and brought to two targets with the sixteen gels in up to three layers. The
sheets that hang are off their labels, each by a strength of its own that the advisor has not seen: a normal
scatter of which nine in ten lie within 7 % of the shift. The meter is off by a scatter of its own in each
reading, nine in ten within 0.4 % of the CCT and 0.0002 of Duv. The advisor is told these figures, what the
meter reads and the lamp's kind, and nothing else. A head that the meter reads within the tolerance is done,
whatever it is truly: `End` says how many of those that are not there that leaves. Only where the advisor
finds it on the edge (`near_edge`) it is metered once more.

    python -m tests.accuracy.rounds [--data FOLDER] [--even] [--exact] [--every N]
"""

import argparse
import sys
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from enum import Enum
from pathlib import Path
from typing import NamedTuple

import numpy as np

from advisor.advice.after_hanging.edge import near_edge
from advisor.advice.answer.advise import advise_on
from advisor.advice.ranking.first_line import first_line
from advisor.advice.readings.chromaticity import WhitePoint, white_at
from advisor.advice.readings.target import white_of
from advisor.advice.stacks.enumerate import NONE, choice_on, stacks_on
from advisor.advice.stacks.gel_arrays import GelArrays, gel_arrays_of
from advisor.advice.stacks.prediction import PreparedSource
from advisor.colour.observer.cct import moves_at
from advisor.colour.observer.chromaticity import STEP_DELTA_UV, delta_uv_prime
from advisor.colour.observer.data import Array
from advisor.model import Limits, Reading, Refused
from advisor.model.sets.lightset import RequestAccuracy
from tests.accuracy.filters import DYE_SETS, DyeSet, filters
from tests.accuracy.lamps import Lamp, NoData, lamps, uv_at_1_nm
from tests.accuracy.regret import TARGETS
from tests.accuracy.trials import Knows, bare_of

PERCENT, METER_CCT, METER_DUV = 7.0, 0.4, 0.0002
ACCURACY = RequestAccuracy(meter_cct_percent=METER_CCT, meter_duv=METER_DUV, gel_percent=PERCENT)
TOLERANCE, LAYERS, ROUNDS, ASKED = 3.0, 3, 6, 5
"""The goal asks what is there by the ASKED-th reading; one more shows whether it would help."""
_NINE_IN_TEN = 1.645
"""Standard deviations that hold 90 % of a normal scatter."""


class Hung(NamedTuple):
    """One stack that was advised and hung: the chance stated, and how far off it was, truly and as read."""

    gels: tuple[str, ...]
    stated: float
    off: float
    read: float


class End(Enum):
    """How a course ended, by so many readings."""

    THERE = "there"
    MISREAD = "read as within the tolerance, truly beyond it"
    LEFT = "left as the closest, by the advisor's own word"
    TRYING = "still being changed"


@dataclass
class Course:
    """What became of one lamp: what was hung, in order, and how near the `best` of all stacks is [step]."""

    lamp: Lamp
    best: float
    hung: list[Hung] = field(default_factory=list)
    given_up: bool = False

    @property
    def able(self) -> bool:
        """Whether some stack brings it within the tolerance."""
        return self.best <= TOLERANCE

    def there_by(self, readings: int) -> bool:
        """Whether one of the first so many readings was within the tolerance, truly."""
        return any(one.off <= TOLERANCE for one in self.hung[:readings])

    @property
    def read_before(self) -> bool:
        """Whether what was hung last was read before that too."""
        return self.hung[-1].gels in [one.gels for one in self.hung[:-1]]

    def end(self, readings: int) -> End:
        """Return how it ended by so many readings."""
        if self.there_by(readings):
            return End.THERE
        if any(one.read <= TOLERANCE for one in self.hung[:readings]):
            return End.MISREAD
        return End.LEFT if self.given_up and len(self.hung) <= readings else End.TRYING

    @property
    def went_back(self) -> bool:
        """Whether it was sent to a stack that had been read as worse, in the mean, than another one."""
        read: dict[tuple[str, ...], list[float]] = {}
        for one in self.hung:
            means = {gels: float(np.mean(steps)) for gels, steps in read.items()}
            if one.gels in means and means[one.gels] > min(means.values()):
                return True
            read.setdefault(one.gels, []).append(one.read)
        return False


@dataclass(frozen=True)
class Truck:
    """Gels as they are, `sheets` (n, 401) in the order of the gel table, and as the advisor knows them."""

    gel_arrays: GelArrays
    sheets: Array
    stacks: Array

    def strengths(self, rng: np.random.Generator) -> Array:
        """Draw how strong the sheets are, (n,): 1 is as their labels say."""
        return np.asarray(1.0 + PERCENT / 100.0 / _NINE_IN_TEN * rng.standard_normal(len(self.sheets)))

    def passed(self, places: Sequence[int], strengths: Array) -> Array:
        """Return what is left of each wavelength behind gels, (401,)."""
        at = list(places)
        return np.asarray(np.prod(self.sheets[at] ** strengths[at, None], axis=0))


def truck_of(dyes: DyeSet) -> Truck:
    """Load the sixteen gels of a set of dyes."""
    gels = filters(dyes)
    gel_arrays = gel_arrays_of(gels.rows)
    order = [[row.name for row in gels.rows].index(name) for name in gel_arrays.names]
    stacks = stacks_on(gel_arrays, choice_on(gel_arrays, (), LAYERS, gel_arrays.ranked, dimmed=False))
    return Truck(gel_arrays, gels.transmittances[order], stacks)


def courses(
    found: Sequence[Lamp], dye_sets: Sequence[DyeSet], seed: int = 0, *, exact: bool = False
) -> list[Course]:
    """Bring every lamp to both targets with the gels of every set of dyes.

    With `exact` the meter behind gels reads what is there; sheets and the bare reading stay as they were.
    """
    limits = Limits(tolerance_steps=TOLERANCE, max_layers=LAYERS, accuracy=ACCURACY)
    made = []
    for number, dyes in enumerate(dye_sets):
        truck = truck_of(dyes)
        for at, target in enumerate(TARGETS):
            white = white_of(target, [])
            for lamp in found:
                rng = np.random.default_rng([16, seed, number, at, lamp.number])
                if (course := _course(lamp, truck, white, limits, rng, exact)) is not None:
                    made.append(course)
    return made


def _course(
    lamp: Lamp, truck: Truck, white: WhitePoint, limits: Limits, rng: np.random.Generator, exact: bool
) -> Course | None:
    """Bring one lamp in; None where a meter gives no CCT of it."""
    strengths = truck.strengths(rng)
    bare_read = metered(lamp.uv, rng)
    if bare_read is None:
        return None
    seen = replace(lamp, uv=bare_read.uv, cct=bare_read.cct, duv=bare_read.duv)
    try:
        bare = bare_of(seen, truck.gel_arrays, white, Knows.READING)
    except Refused:
        return None
    sheets = np.concatenate([truck.sheets ** strengths[:, None], np.ones((1, truck.sheets.shape[1]))])
    every = uv_at_1_nm(lamp.power * np.prod(sheets[truck.stacks], axis=1))
    course = Course(lamp, float(delta_uv_prime(every, white.uv).min()) / STEP_DELTA_UV)
    for _ in range(ROUNDS):
        [answer] = advise_on([bare], limits, truck.gel_arrays).answers
        first = first_line(answer.stacks)
        if course.hung and course.hung[-1].read <= TOLERANCE:
            if not near_edge(course.hung[-1].read, white, TOLERANCE, ACCURACY):
                break
            first = next(s for s in answer.stacks if sorted(s.gels) == list(course.hung[-1].gels))
        elif first.read is not None:
            course.given_up = True
            break
        places = truck.gel_arrays.find(first.gels)
        true = uv_at_1_nm(lamp.power * truck.passed(places, strengths))
        read = white_at(true) if exact else metered(true, rng)
        if read is None:
            break
        left = float(delta_uv_prime(read.uv, white.uv)) / STEP_DELTA_UV
        off = float(delta_uv_prime(true, white.uv)) / STEP_DELTA_UV
        course.hung.append(Hung(tuple(sorted(first.gels)), first.within, off, left))
        if left <= TOLERANCE and (course.read_before or not first.gels):
            break
        if first.gels:
            bare = with_reading(bare, Reading(cct=read.cct, duv=read.duv, gels=first.gels))
            continue
        # Left bare and read again: the newest bare reading counts.
        taken, seen = bare.source.readings, replace(lamp, uv=read.uv, cct=read.cct, duv=read.duv)
        bare = bare_of(seen, truck.gel_arrays, white, Knows.READING)
        bare = replace(bare, source=bare.source.model_copy(update={"readings": taken}))
    return course


def with_reading(bare: PreparedSource, reading: Reading) -> PreparedSource:
    """Return a lamp of which one reading more was taken."""
    source = bare.source.model_copy(update={"readings": [*bare.source.readings, reading]})
    return replace(bare, source=source)


def metered(uv: Array, rng: np.random.Generator) -> WhitePoint | None:
    """Read a light; None where it is no white."""
    white = white_at(uv)
    if white is None:
        return None
    warmer, greener = moves_at(np.array(white.cct), np.array(white.duv))
    mired = 1e6 / white.cct * METER_CCT / 100.0 / _NINE_IN_TEN * rng.standard_normal()
    return white_at(uv + warmer * mired + greener * METER_DUV / _NINE_IN_TEN * rng.standard_normal())


assert NONE == -1  # the last of `sheets` is no gel


def by_round(found: Sequence[Course]) -> list[tuple[int, float, float, int, float, float]]:
    """Return for each round its number, what share was there by it, and what was stated of it.

    The shares, true and as read, are of those lamps that some stack brings in. Then how many stacks were hung
    in it, the mean chance that was stated of them, and the share that was truly within.
    """
    able = [course for course in found if course.able]
    rows = []
    for k in range(1, ROUNDS + 1):
        there = float(np.mean([course.there_by(k) for course in able]))
        read = float(np.mean([any(one.read <= TOLERANCE for one in c.hung[:k]) for c in able]))
        now = [course.hung[k - 1] for course in found if len(course.hung) >= k]
        stated = float(np.mean([one.stated for one in now])) if now else float("nan")
        came = float(np.mean([one.off <= TOLERANCE for one in now])) if now else float("nan")
        rows.append((k, there, read, len(now), stated, came))
    return rows


def ends(found: Sequence[Course]) -> dict[End, int]:
    """Count how those that some stack brings in ended by the ASKED-th reading."""
    counts = Counter(course.end(ASKED) for course in found if course.able)
    return {end: counts[end] for end in End}


def main(arguments: list[str] | None = None) -> int:
    """Print the table; the exit status is 1 without data."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("--data", type=Path, help="folder with the lamps' two files")
    parser.add_argument("--even", action="store_true", help="the even rows, which are for tuning")
    parser.add_argument("--exact", action="store_true", help="a meter that reads what is there, behind gels")
    parser.add_argument("--every", type=int, default=1, help="only every so many-th lamp")
    parser.add_argument("--dyes", type=int, default=len(DYE_SETS), help="only so many sets of dyes")
    asked = parser.parse_args(arguments)
    try:
        found = [lamp for lamp in lamps(asked.data) if lamp.odd is not asked.even][:: asked.every]
    except NoData as no:
        print(no, file=sys.stderr)
        return 1
    made = courses(found, DYE_SETS[: asked.dyes], exact=asked.exact)
    print(
        f"{len(made)} courses, {sum(c.able for c in made)} that some stack brings within {TOLERANCE:g} steps"
    )
    print("round  there  as read   hung  stated   came")
    for k, there, read, count, stated, came in by_round(made):
        print(f"{k:5} {there:6.1%} {read:8.1%} {count:6} {stated:7.3f} {came:6.3f}")
    print(f"sent back to a stack read as worse: {sum(c.went_back for c in made)}")
    print(f"how those ended that some stack brings in, by reading {ASKED}:")
    for end, count in ends(made).items():
        print(f"{count:5}  {end.value}")
    misread = [c.hung[-1].off for c in made if c.able and c.end(ASKED) is End.MISREAD]
    if misread:
        print(f"misread: {min(misread):.2f} to {max(misread):.2f} steps, median {np.median(misread):.2f}")
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
