"""Every stack that makes sense: which gels can hang together, as rows of indices."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from ...model import Limits, Refused
from ...model.basis.base import name_key
from .gel_arrays import GelArrays

Indices = NDArray[np.intp]
NONE = -1
"""Fills up a row that has fewer gels than the widest."""


@dataclass(frozen=True)
class Choice:
    """What may hang on a source: `keep` in any case, and up to `free` sheets more.

    `gels` are the rows in the gel table that may be added, in rising order, and `sheets` the most of each.
    """

    keep: tuple[int, ...]
    gels: tuple[int, ...]
    sheets: tuple[int, ...]
    free: int

    @property
    def count(self) -> int:
        """The number of stacks if opposites and stock did not count: at least as many as there are."""
        return math.comb(len(self.gels) + self.free, self.free)

    def capped(self, most: Mapping[int, int]) -> "Choice":
        """Return what is left where no more than `most` of some gels may be added."""
        sheets = [min(n, most.get(gel, n)) for gel, n in zip(self.gels, self.sheets, strict=True)]
        left = [(gel, n) for gel, n in zip(self.gels, sheets, strict=True) if n > 0]
        return replace(self, gels=tuple(gel for gel, _ in left), sheets=tuple(n for _, n in left))


def choice_on(
    gel_arrays: GelArrays,
    keep: Sequence[int],
    max_layers: int,
    allowed: NDArray[np.bool_],
    *,
    dimmed: bool,
) -> Choice:
    """Return what may hang beside `keep`, of those gels that are `allowed` (n,) and take part in the ranking.

    ND takes part where light has to be lost (`dimmed`).

    Kept gels stay whatever the limits say, and use up their sheets; a kept scrim takes up no layer, as it
    slides in behind where gel hangs. No gel is added that is the opposite of a
    kept one (`GelArrays.pushes`). If two kept gels are opposites, nothing is added on their axis, and the
    other stays open.
    """
    kept = np.array(keep, dtype=np.intp)
    usable = gel_arrays.ranked | gel_arrays.dimming if dimmed else gel_arrays.ranked
    usable = usable & allowed
    for way in gel_arrays.pushes.T:
        usable = usable & ~((way > 0) & (way[kept] < 0).any()) & ~((way < 0) & (way[kept] > 0).any())
    left = gel_arrays.stock - np.bincount(kept, minlength=len(gel_arrays.names))
    gels = np.flatnonzero(usable & (left > 0))
    free = max(max_layers - int((~gel_arrays.scrims[kept]).sum()), 0)
    sheets = np.minimum(left[gels], max(free, 1))
    return Choice(tuple(keep), tuple(gels.tolist()), tuple(sheets.tolist()), free)


def allowed_by(gel_arrays: GelArrays, limits: Limits) -> NDArray[np.bool_]:
    """Return which gels (n,) the limits leave: of no family that is excluded, and of the names given, if any.

    Raises Refused, saying where in the limits, for a family or a name that is not in the table.
    """
    allowed = np.ones(len(gel_arrays.names), dtype=np.bool_)
    for k, family in enumerate(limits.exclude_families):
        wanted = name_key(" ".join(family.split()))
        if wanted not in gel_arrays.family_keys:
            shown = ", ".join(dict.fromkeys(gel_arrays.families)) or "there are none"
            raise Refused.one(
                f"exclude_families[{k}]", f"no gel is of the family {family[:40]!r}", f"a family: {shown}"
            )
        allowed &= gel_arrays.family_keys != wanted
    if limits.only_gels is not None:
        named = gel_arrays.find(limits.only_gels, "only_gels")
        allowed &= np.isin(np.arange(len(allowed)), named)
    return allowed


def stacks_on(gel_arrays: GelArrays, choice: Choice) -> Indices:
    """Return all stacks of a choice, as (m, w) indices into the gel table, padded with NONE.

    No stack holds two opposites of one axis among what is added, or more of a gel than there are sheets.
    The first row is `keep` alone, "leave it bare" where nothing is kept; then they go by layers, and by
    their gels' indices.
    """
    return _enumerate(gel_arrays, choice)


@lru_cache(maxsize=64)
def _enumerate(gel_arrays: GelArrays, choice: Choice) -> Indices:
    kept = len(choice.keep)
    gels = np.array(choice.gels, dtype=np.intp)
    level = np.full((1, kept + choice.free), NONE, dtype=np.intp)
    level[0, :kept] = choice.keep
    found = [level]
    for at in range(kept, kept + choice.free):
        last = level[:, at - 1] if at > kept else np.full(len(level), NONE)
        # None before the last one added, so that each stack comes once.
        rows, columns = np.nonzero(gels[None, :] >= last[:, None])
        level = level[rows]
        level[:, at] = gels[columns]
        level = level[hangs(gel_arrays, choice, level[:, kept : at + 1])]
        found.append(level)
    result = np.concatenate(found)
    result.setflags(write=False)
    return result


def hangs(gel_arrays: GelArrays, choice: Choice, added: Indices) -> NDArray[np.bool_]:
    """Return which rows (m,) of added gels (m, w), full and in rising order, can hang together."""
    sheets = np.zeros(len(gel_arrays.names), dtype=np.intp)
    sheets[list(choice.gels)] = choice.sheets
    # In a sorted row a gel is there too often if it comes again as many columns on as there are sheets.
    enough = np.ones(len(added), dtype=np.bool_)
    for apart in range(added.shape[1]):
        again = added[:, : added.shape[1] - apart] == added[:, apart:]
        enough &= ~(again & (sheets[added[:, apart:]] <= apart)).any(axis=1)
    return np.asarray(enough & ~_opposed(gel_arrays, added))


def _opposed(gel_arrays: GelArrays, added: Indices) -> NDArray[np.bool_]:
    """Return in which rows (m, w) one gel undoes another, (m,)."""
    one, other = (way[added] for way in gel_arrays.pushes.T)
    return np.asarray(_both(one) | _both(other))


def _both(way: NDArray[np.intp]) -> NDArray[np.bool_]:
    return np.asarray((way > 0).any(axis=1) & (way < 0).any(axis=1))
