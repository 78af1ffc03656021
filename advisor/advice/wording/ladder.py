"""The fractions that gels come in, and how large each of them is by a gel table.

“A quarter CTO” has to mean the gel on this truck: 40 mired by the shipped table, 65 with the stronger series,
and what the swatch book says if somebody typed that. So the sizes are read from the gel table. They are part
of it, since ranking and prediction get the table anyway, and part of the plan, for the words on pages. The
few functions that have neither take the sizes as a parameter. A context variable would save that, but could
then describe what one table ranked in the sizes of another.
"""

import itertools
from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from ...colour.observer.loci import CC_PER_DUV
from ...model import Gel
from ...model.basis.base import name_keys


class Fraction(NamedTuple):
    """A fraction that gels come in: as it is typed, written and said."""

    name: str
    glyph: str
    said: str


FRACTIONS = (
    Fraction("1/8", "⅛", "an eighth"),
    Fraction("1/4", "¼", "a quarter"),
    Fraction("1/2", "½", "a half"),
    Fraction("3/4", "¾", "three quarters"),
    Fraction("full", "full", "a full"),
)
"""From the weakest to the strongest. Common practice, no source."""

Sizes = tuple[float, ...]
"""How large each of FRACTIONS is, in rising order, all above zero."""


@dataclass(frozen=True)
class Ladder:
    """How large the fractions are of CTO and CTB [MK⁻¹], and of plus and minus green [Duv]."""

    cto: Sizes
    ctb: Sizes
    plus_green: Sizes
    minus_green: Sizes

    def both(self, mired: float, duv: float) -> tuple[Sizes, Sizes]:
        """Return the sizes of the gels that shift in both directions. [MK⁻¹, Duv]"""
        return self.along(mired), self.across(duv)

    def along(self, mired: float) -> Sizes:
        """Return the sizes of the gel that shifts in that direction: CTO to warm, CTB to cool. [MK⁻¹]"""
        return self.cto if mired > 0 else self.ctb

    def across(self, duv: float) -> Sizes:
        """Return the sizes of the gel that shifts in that direction: plus green or minus green. [Duv]"""
        return self.plus_green if duv > 0 else self.minus_green


_CTO, _CTB = (20.0, 40.0, 80.0, 107.0, 134.0), (18.0, 35.0, 70.0, 102.0, 134.0)
_GREEN = (3.5, 7.5, 15.0, 22.5, 30.0)
"""As the trade reckons: CTO, the lighter series, and CTB [MK⁻¹]; green [CC]. Common practice, from memory."""
_MOST_OFF = 3.0
"""A row this many times larger or smaller than the trade's is a slip, or another gel. Our judgement."""


def ladder_of(rows: Sequence[Gel]) -> Ladder:
    """Read the sizes from the rows of a gel table, which are known by family and fraction.

    Gels that are switched off count, too, as long as the sizes then still rise. A row does not count if it
    shifts the wrong way, or three times more or less than the trade's. A size that no row has is interpolated
    in proportion to the trade's sizes, and extrapolated beyond the last. If no row has any, or they do not
    rise, the trade's sizes hold.
    """
    families: defaultdict[str, dict[str, Gel]] = defaultdict(dict)
    for key, gel in zip(name_keys([gel.family for gel in rows]), rows, strict=True):
        families[key][gel.fraction] = gel
    plus, minus = (_sizes(families[f"{way} green"], "cc", sign, _GREEN) for way, sign in _WAYS)
    return Ladder(
        cto=_sizes(families["cto"], "mired", 1.0, _CTO),
        ctb=_sizes(families["ctb"], "mired", -1.0, _CTB),
        plus_green=tuple(size / CC_PER_DUV for size in plus),
        minus_green=tuple(size / CC_PER_DUV for size in minus),
    )


_WAYS = ("plus", 1.0), ("minus", -1.0)


def _sizes(own: Mapping[str, Gel], axis: str, sign: float, usual: Sizes) -> Sizes:
    """Return the sizes of a family along an axis from its `own` gels by fraction; `usual` are the trade's."""
    said, on = {}, {}
    for fraction, size in zip(FRACTIONS, usual, strict=True):
        gel = own.get(fraction.name)
        if gel and size / _MOST_OFF <= sign * getattr(gel, axis) <= size * _MOST_OFF:
            said[size] = sign * getattr(gel, axis)
            if gel.on:
                on[size] = said[size]
    found = next((some for some in (said, on) if some and _rise(some)), None)
    return _filled(found, usual) if found else usual


def _rise(said: Mapping[float, float]) -> bool:
    """Whether sizes, by the trade's in rising order, rise with them."""
    return all(one < other for one, other in itertools.pairwise(said.values()))


def _filled(said: Mapping[float, float], usual: Sizes) -> Sizes:
    """Return all sizes: against the trade's, a line from nothing through those that are said, and beyond."""
    last, far = max(said), 2.0 * usual[-1]
    x, y = [0.0, *said, far], [0.0, *said.values(), far * said[last] / last]
    return tuple(np.interp(usual, x, y).tolist())


TRADE = ladder_of(())
"""As the trade reckons, where there is no table."""
