"""Tune the constants of the engine on the even rows of the accuracy check, one by one.

    python -m tests.accuracy.tune [--data FOLDER] [--only WORD ...] [--every N]

Each constant is tried at every value of its grid (`constants`), the others as the modules hold them, and the
lamps of the even rows are scored (`scores`; the lower the better). Lamps differ much, so values are compared
lamp by lamp: one is better than another if its mean score is lower by more than two standard errors of that
difference, and by more than 5 %, which nobody would notice. What a module holds stands where no value of the
grid is better: so far the score is flat, and its least is no reason for another number. Where the module
keeps its value all the same, the reason is printed.

The exit status is 1 where a constant neither stands nor is kept for a reason, or without data. All take some
twenty minutes of one core.
"""

import argparse
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import NamedTuple

import numpy as np

from advisor.colour.observer.data import Array
from tests.accuracy.constants import CONSTANTS, Constant
from tests.accuracy.lamps import Lamp, NoData, lamps
from tests.accuracy.summary import Table

SURELY = 2.0
"""So many standard errors tell two values apart,"""
WORTH_IT = 0.05
"""and so much of the score is worth another number. Chosen."""


class Tried(NamedTuple):
    """A value of a grid: its mean `score`, how much `more` that is than the module's value has, ± `error`."""

    value: float
    score: float
    more: float
    error: float

    @property
    def flat(self) -> float:
        """Scores that lie no farther apart are the same."""
        return max(SURELY * self.error, WORTH_IT * (self.score - self.more))

    @property
    def better(self) -> bool:
        """Whether it is better than what the module holds."""
        return self.more < -self.flat

    @property
    def worse(self) -> bool:
        """Whether it is worse than what the module holds."""
        return self.more > self.flat


class Tuned(NamedTuple):
    """A constant, all that was tried of it, and of how many lamps."""

    constant: Constant
    tried: tuple[Tried, ...]
    lamps: int

    @property
    def says(self) -> float:
        """What this run says: the best of the better values, or what the module holds."""
        better = [one for one in self.tried if one.better]
        return min(better, key=lambda one: one.score).value if better else self.constant.held

    @property
    def stands(self) -> bool:
        """Whether the module holds what this run says."""
        return self.says == self.constant.held

    @property
    def comes(self) -> str:
        """What comes of it, in a word."""
        return "" if self.stands else "kept" if self.constant.kept else "differs"

    @property
    def as_good(self) -> str:
        """The values that are no worse, in words."""
        as_good = [one.value for one in self.tried if not one.worse]
        return f"{min(as_good):g} to {max(as_good):g}"


def tune(constant: Constant, even: Sequence[Lamp]) -> Tuned:
    """Score the lamps that a constant bears on at every value of its grid."""
    some = [lamp for lamp in even if constant.kind in (None, lamp.kind)]
    scores = {}
    for value in constant.grid:
        with constant.as_if(value):
            scores[value] = constant.score.of(some)
    return judged(constant, scores)


def judged(constant: Constant, scores: dict[float, Array]) -> Tuned:
    """Compare the scores (lamps,) at some values with those at the value that the module holds."""
    held = scores[constant.held]
    there = np.isfinite(list(scores.values())).all(axis=0)
    count = int(there.sum())
    tried = []
    for value, score in scores.items():
        apart = (score - held)[there]
        error = float(apart.std(ddof=1) / np.sqrt(count)) if count > 1 else np.inf
        tried.append(Tried(value, float(score[there].mean()), float(apart.mean()), error))
    return Tuned(constant, tuple(tried), count)


def grid_table(found: Tuned) -> Table:
    """Show the score over the grid."""
    rows = [
        (f"{one.value:g}", f"{one.score:.4f}", f"{one.more:+.4f}", f"{one.error:.4f}") for one in found.tried
    ]
    title = f"{found.constant.name}: {found.constant.score.words}, {found.lamps} lamps"
    return Table(title, ("value", "score", "more", "± error"), rows)


def verdict(found: Sequence[Tuned]) -> Table:
    """Set what the modules hold beside what this run says."""
    rows = [
        (one.constant.name, f"{one.constant.held:g}", f"{one.says:g}", one.as_good, one.comes)
        for one in found
    ]
    return Table("Constants", ("constant", "module holds", "this run says", "as good", ""), rows)


def main(arguments: list[str] | None = None) -> int:
    """Tune, and print what comes of it."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("--data", type=Path, help="folder with the lamps' two files")
    parser.add_argument(
        "--only", nargs="+", default=[""], help="constants whose names have one of these words"
    )
    parser.add_argument("--every", type=int, default=1, help="only every so many-th lamp")
    asked = parser.parse_args(arguments)
    chosen = [one for one in CONSTANTS if any(word in one.name for word in asked.only)]
    if not chosen:
        known = "\n  ".join(one.name for one in CONSTANTS)
        parser.error(f"no constant has {' or '.join(asked.only)} in its name; there are\n  {known}")
    try:
        even = [lamp for lamp in lamps(asked.data) if not lamp.odd][:: asked.every]
    except NoData as no:
        print(no, file=sys.stderr)
        return 1
    found = []
    for constant in chosen:
        found.append(tune(constant, even))
        print(f"{grid_table(found[-1]).text()}\n", flush=True)
    print(verdict(found).text())
    for one in found:
        if one.comes == "kept":
            print(f"\n{one.constant.name} is kept: {one.constant.kept}.")
    return int(any(one.comes == "differs" for one in found))


if __name__ == "__main__":
    raise SystemExit(main())
