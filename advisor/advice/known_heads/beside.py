"""Heads beside each other at one level: which match, which is the odd one out, which two are worst."""

import itertools
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from ...colour.observer.chromaticity import STEP_DELTA_UV, delta_uv_prime, steps_apart
from ...colour.observer.data import Array
from ...model.sets.phrases import counted, listed
from ..readings.chromaticity import WhitePoint, white_at
from ..wording.ladder import Ladder
from ..wording.words import beside

_MATCH, _PAIR = 1.0, 3.0
"""Heads so near to each other match, and may hang as a pair: as `words.seen` has it. [step]"""
_ODD = 2.0
"""The odd one out is this many times farther from the rest than any two of them are: our judgement."""


@dataclass(frozen=True)
class Unit:
    """A head as it is named, and its white."""

    name: str
    white: WhitePoint


@dataclass(frozen=True, eq=False)
class Apart:
    """How far heads are from each other: `steps` (n, n), by their indices.

    `matching` are groups of which each two match, the largest first. `pairs` are the best of two, no head in
    two of them. `odd` is the odd one out, None where there is none. `worst` are the two farthest apart.

    `middle` is the head that the others are brought to. It is the nearest to all others of the largest group
    that matches, or else of all but the odd one out. Of two it is the one with less green or magenta.
    """

    steps: Array
    matching: tuple[tuple[int, ...], ...]
    pairs: tuple[tuple[int, int], ...]
    odd: int | None
    worst: tuple[int, int]
    middle: int

    @property
    def worst_delta(self) -> float:
        """How far apart the worst two are. [Δu′v′]"""
        return float(self.steps[self.worst]) * STEP_DELTA_UV

    def match(self, one: int, other: int) -> bool:
        """Whether two of them match."""
        return bool(self.steps[one, other] <= _MATCH)


def compare(whites: Sequence[WhitePoint]) -> Apart:
    """Hold whites against each other, at least two."""
    uv = np.array([white.uv for white in whites])
    steps = steps_apart(uv[:, None], uv[None, :])
    order = sorted(itertools.combinations(range(len(whites)), 2), key=lambda two: float(steps[two]))
    matching, odd = _matching(steps, order), _odd(uv)
    likely = matching[0] if matching else [k for k in range(len(whites)) if k != odd]
    away = steps.sum(axis=1)
    return Apart(
        steps=steps,
        matching=matching,
        pairs=_pairs(steps, order),
        odd=odd,
        worst=order[-1],
        middle=min(likely, key=lambda k: (round(float(away[k]), 6), abs(whites[k].duv))),
    )


def _matching(steps: Array, order: Sequence[tuple[int, int]]) -> tuple[tuple[int, ...], ...]:
    """Group heads of which each two match; two groups join where all of them do, the nearest first."""
    group = {k: frozenset([k]) for k in range(len(steps))}
    for one, other in order:
        both = group[one] | group[other]
        if group[one] != group[other] and steps[np.ix_(sorted(both), sorted(both))].max() <= _MATCH:
            group.update(dict.fromkeys(both, both))
    found = {tuple(sorted(some)) for some in group.values() if len(some) > 1}
    return tuple(sorted(found, key=lambda some: (-len(some), some)))


def _pairs(steps: Array, order: Sequence[tuple[int, int]]) -> tuple[tuple[int, int], ...]:
    taken: set[int] = set()
    pairs = []
    for two in order:
        if steps[two] <= _PAIR and not taken.intersection(two):
            pairs.append(two)
            taken.update(two)
    return tuple(pairs)


def _odd(uv: Array) -> int | None:
    """Return the head that is off the rest by more than a tolerance, and far beyond how they scatter."""
    if len(uv) < 3:
        return None
    found = []
    for k in range(len(uv)):
        rest = np.delete(uv, k, axis=0)
        middle = rest.mean(axis=0)
        off = float(steps_apart(uv[k], middle))
        spread = float(np.max(delta_uv_prime(rest[:, None], rest[None, :]))) / STEP_DELTA_UV
        if off > _PAIR and off > _ODD * spread:
            found.append((off, k))
    return max(found)[1] if found else None


def beside_said(units: Sequence[Unit], apart: Apart, ladder: Ladder, group: str = "") -> list[str]:
    """Say how heads stand beside each other; `group` is what the crew calls them all, empty for nothing."""
    whites = [unit.white for unit in units]
    if apart.matching and len(apart.matching[0]) == len(units):
        return [f"All {counted(len(units), 'head')} match."]
    said = [f"{_named(units, some, group)} match." for some in apart.matching]
    if len(units) == 2:
        return [f"{_differs(units, 1, 0, ladder)}."]
    if not said and apart.pairs:
        said.append(f"{_named(units, apart.pairs[0], group)} are the best pair.")
    if apart.odd is not None:
        rest = white_at(np.mean([w.uv for k, w in enumerate(whites) if k != apart.odd], axis=0))
        if rest:
            way = beside(*rest.shift_to(whites[apart.odd]), ladder, visible=True)
            said.append(f"{units[apart.odd].name} is {way} than the rest.")
        # How it is beside one of the rest may read otherwise than beside all of them: it is said once.
        return [*said, f"Farthest apart: {listed([units[k].name for k in apart.worst])}."]
    said.append(f"Farthest apart: {_differs(units, *_greener_first(whites, apart.worst), ladder)}.")
    return said


def pairs_said(units: Sequence[Unit], apart: Apart) -> str:
    """Name the best pairs of four heads or more, the nearest first; empty where no two would do."""
    if len(units) < 4 or not apart.pairs:
        return ""
    pairs = [f"{units[one].name} with {units[other].name}" for one, other in apart.pairs]
    return f"Best pairs: {', '.join(pairs)}."


def _differs(units: Sequence[Unit], one: int, other: int, ladder: Ladder) -> str:
    way = beside(*units[other].white.shift_to(units[one].white), ladder, visible=True)
    return f"{units[one].name} is {way} than {units[other].name}"


def _greener_first(whites: Sequence[WhitePoint], two: tuple[int, int]) -> tuple[int, int]:
    one, other = two
    return two if whites[one].duv >= whites[other].duv else (other, one)


def _named(units: Sequence[Unit], some: Sequence[int], group: str) -> str:
    """Name several heads: “Panels 2 and 5” where the group is called as they are, else each by its name."""
    heads = [unit.name.rpartition(" ") for unit in units]
    stem = heads[0][0]
    if stem and all(head[0] == stem for head in heads) and group.casefold().startswith(stem.casefold()):
        return f"{group} {listed([heads[k][2] for k in some])}"
    return listed([units[k].name for k in some])
