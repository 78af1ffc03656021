"""Which pairs of a stack and a setting of the dials are worth predicting exactly.

Every stack takes part with the dials as they are, and at the setting with the least expected miss; where
readings say that the light changes with the dial, also at the one with the least cost. Of these the most
promising by the interpolated surfaces are the finalists; each of them is predicted, its surface put right
there, and a neighbouring setting that then looks better is a finalist too.

Of tables too large to go through, the stacks are all single gels, and the fronts of the head with its dials
as they are and at the ends and in the middle of its CCT.
"""

from collections import defaultdict
from contextlib import suppress
from dataclasses import dataclass, replace
from functools import partial
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from ..colour.data import Array
from ..colour.predict import stops
from ..colour.sources import Unbendable
from ..model import Limits
from .candidates import is_plain
from .dial_fit import DialFit
from .dial_search import FAR, Dials, Found, Valley, dials_of, span_of
from .dial_stand import Stand, as_read, spectra_at, stand_at
from .dial_surfaces import surfaces_of
from .fronts import rank
from .prediction import Bare, predict_stacks, stacked
from .rack import Rack
from .ranking import cost, spent
from .search import contenders
from .stacks import NONE, Choice, Indices, stacks_on

_FINALISTS = 48
"""Pairs predicted exactly, before neighbouring settings."""
_SLACK, _SLACK_SHARE, _SLACK_STOPS = 0.3, 0.15, 0.01
"""A pair is out where another, lighter by so many stops, is nearer by so many steps and this share."""
_WORTH = 0.1
"""A stack's cheapest setting takes part beside its nearest where it costs so much less. [step]"""
_AS_IT_IS = -1
"""In place of a setting: the dials as they were read."""


class Pair(NamedTuple):
    """A stack (w,) on a head with its dials at a setting."""

    stack: Indices
    stand: Stand


class _Rows(NamedTuple):
    """Pairs: places of stacks (n,), settings in steps of the dials (n, 2), approximate figures (n,)."""

    places: Indices
    at: Indices
    steps: Array
    lost: Array

    def some(self, chosen: Indices) -> "_Rows":
        return _Rows(self.places[chosen], self.at[chosen], self.steps[chosen], self.lost[chosen])


@dataclass(frozen=True, eq=False)
class DialledHead:
    """An adjustable head and what is asked of it; the tolerance in `limits` is its own."""

    bare: Bare
    fit: DialFit
    limits: Limits
    rack: Rack
    choice: Choice

    def pairs(self) -> list[Pair]:
        """Return the finalists; the first is the head as it is, with nothing added."""
        stacks, here = self._as_it_is()
        dials = dials_of(self.fit.reach)
        filters, spectra = stacked(self.rack.transmittances, stacks), partial(spectra_at, self.bare)
        leave = self.bare.source.aim.leave
        surfaces = None if leave else surfaces_of(*span_of(self.fit, dials), filters, spectra)
        if surfaces is None:
            return self._found(stacks, self._short(here, stacks), {})
        valley = Valley(self.fit, dials, surfaces, self.bare.wanted.uv)
        rows = self._short(_joined([here, *self._settings(valley)]), stacks)
        stands = self._stands(dials, rows.at)
        more = self._neighbours(valley, stacks, rows, stands)
        stands |= self._stands(dials, more.at)
        return self._found(stacks, _joined([rows, more]), stands)

    def _as_it_is(self) -> tuple[Indices, _Rows]:
        """Return all stacks that let light through, and with the dials as they were read, exactly."""
        stacks = _stacks_of(self)
        [outcomes] = predict_stacks([self.bare], self.rack, stacks)
        lit = np.isfinite(outcomes.steps)
        stacks, outcomes = stacks[lit], outcomes.at(np.flatnonzero(lit))
        at = np.full((len(stacks), 2), _AS_IT_IS, dtype=np.intp)
        return stacks, _Rows(np.arange(len(stacks)), at, outcomes.steps, stops(outcomes.passed))

    def _settings(self, valley: Valley) -> list[_Rows]:
        """Return each stack at its nearest setting and, where that differs, at its cheapest."""
        nearest = valley.best(self._miss)
        parts = [self._rows(valley.dials, nearest, nearest.steps < FAR)]
        if self.fit.light:
            cheapest = valley.best(self._price)
            saved = self._price(nearest.steps, nearest.stops) - self._price(cheapest.steps, cheapest.stops)
            parts.append(self._rows(valley.dials, cheapest, (saved > _WORTH) & (cheapest.steps < FAR)))
        return parts

    def _miss(self, steps: Array, lost: Array) -> Array:
        """Weigh settings by the miss, what loses too much light last."""
        most = self.limits.max_stops
        return steps if most is None else steps + np.where(lost - self.bare.least_stops > most, FAR, 0.0)

    def _price(self, steps: Array, lost: Array) -> Array:
        """Weigh settings of one stack by the cost."""
        return self._cost(self._miss(steps, lost), lost, np.zeros(1))

    def _cost(self, steps: Array, lost: Array, layers: Array) -> Array:
        """Return the cost of pairs by their miss, the light that they lose, and their layers."""
        return cost(steps, spent(lost, self.bare.least_stops), layers, self.limits.tolerance_steps)

    def _rows(self, dials: Dials, found: Found, chosen: NDArray[np.bool_]) -> _Rows:
        """Return chosen stacks' settings, those aside where the dials stand: there the reading counts."""
        current = None if self.fit.current is None else dials.place(self.fit.current)
        if current is not None:
            chosen = chosen & (found.at != current).any(axis=1)
        places = np.flatnonzero(chosen)
        return _Rows(places, found.at[places], found.steps[places], found.stops[places])

    def _short(self, rows: _Rows, stacks: Indices) -> _Rows:
        """Return the rows that may be on the front, the cheapest first, behind the first of all."""
        layers = (stacks != NONE).sum(axis=1)[rows.places]
        able = np.arange(len(layers))
        if self.limits.max_stops is not None:
            able = able[rows.lost - self.bare.least_stops <= self.limits.max_stops + _SLACK_STOPS]
        counted = spent(rows.lost[able], self.bare.least_stops)
        least = _least(rows.steps[able], counted, layers[able])
        able = able[rows.steps[able] <= least + _SLACK + _SLACK_SHARE * least]
        price = self._cost(rows.steps[able], rows.lost[able], layers[able])
        able = able[np.argsort(price, kind="stable")][:_FINALISTS]
        return rows.some(np.concatenate([[0], able[able != 0]]))

    def _stands(self, dials: Dials, at: Indices) -> dict[tuple[int, int], Stand]:
        """Return the head at each of some settings (n, 2); those that it cannot have are left out."""
        found = {}
        for i, j in {(int(i), int(j)) for i, j in at if i != _AS_IT_IS}:
            with suppress(Unbendable):
                found[i, j] = stand_at(self.bare, self.fit, dials.setting(i, j))
        return found

    def _neighbours(
        self, valley: Valley, stacks: Indices, rows: _Rows, stands: dict[tuple[int, int], Stand]
    ) -> _Rows:
        """Return better neighbouring settings, by surfaces moved to where the finalists really are."""
        turned = rows.some(
            np.array([k for k, (i, j) in enumerate(rows.at) if (i, j) in stands], dtype=np.intp)
        )
        if not len(turned.places):
            return turned
        exact = np.empty((len(turned.places), 2))
        by_setting: defaultdict[tuple[int, int], list[int]] = defaultdict(list)
        for k, (i, j) in enumerate(turned.at):
            by_setting[int(i), int(j)].append(k)
        for setting, places in by_setting.items():
            exact[places] = stands[setting].outcomes(self.rack, stacks[turned.places[places]])[0].uv
        moved = valley.moved(turned.places, turned.at, exact)
        found = moved.nearby(turned.at, self._miss)
        better = (found.at != turned.at).any(axis=1)
        kept = self._rows(valley.dials, found, better)
        return kept._replace(places=turned.places[kept.places])

    def _found(self, stacks: Indices, rows: _Rows, stands: dict[tuple[int, int], Stand]) -> list[Pair]:
        """Return rows as pairs, each once."""
        here, found = as_read(self.bare), {}
        for place, (i, j) in zip(rows.places, rows.at, strict=True):
            stand = here if i == _AS_IT_IS else stands.get((int(i), int(j)))
            if stand is not None:
                found[int(place), int(i), int(j)] = Pair(stacks[place], stand)
        return list(found.values())


def _stacks_of(head: DialledHead) -> Indices:
    """Return the stacks that take part, (m, w), the first with nothing added."""
    if is_plain(head.choice):
        return stacks_on(head.rack, head.choice)
    width = len(head.choice.keep) + head.choice.free
    single = stacks_on(head.rack, replace(head.choice, free=1))
    found = [np.pad(single, ((0, 0), (0, width - single.shape[1])), constant_values=NONE)]
    dials = dials_of(head.fit.reach)
    bares = [head.bare]
    for i in sorted({0, (dials.ccts - 1) // 2, dials.ccts - 1}):
        with suppress(Unbendable):
            bares.append(stand_at(head.bare, head.fit, dials.setting(i, (dials.greens - 1) // 2)).bare)
    for bare in bares:
        stacks = contenders(bare, head.rack, head.choice, head.limits.max_stops)
        [outcomes] = predict_stacks([bare], head.rack, stacks)
        found.append(stacks[rank(outcomes, stacks, head.limits, bare.least_stops)])
    rows = np.concatenate(found)
    _, first = np.unique(rows, axis=0, return_index=True)
    return np.asarray(rows[np.sort(first)])


def _joined(parts: list[_Rows]) -> _Rows:
    return _Rows(*(np.concatenate(columns) for columns in zip(*parts, strict=True)))


def _least(steps: Array, lost: Array, layers: Indices) -> Array:
    """Return the least miss (n,) among those of no more layers that lose hardly more light than each."""
    least = np.empty(len(steps))
    for layer in np.unique(layers):
        pool, here = np.flatnonzero(layers <= layer), layers == layer
        order = pool[np.argsort(lost[pool], kind="stable")]
        at = np.searchsorted(lost[order], lost[here] - _SLACK_STOPS, side="right")
        least[here] = np.concatenate([[np.inf], np.minimum.accumulate(steps[order])])[at]
    return least
