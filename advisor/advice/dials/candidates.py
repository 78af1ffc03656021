"""Which pairs of a stack and a setting of the dials are worth predicting exactly.

Every stack takes part with the dials as they are, and at the setting with the least risk. Where readings show
that the light changes with the dial, it also takes part at the setting with the least cost. The pairs that
look best on the interpolated surfaces are the finalists. Each finalist is predicted, and its surface is moved
to fit. A neighbouring setting that then looks better is predicted too. Around the best pairs of all, the
surfaces decide nothing: every neighbour that comes near them is predicted, and so on as long as that finds a
better one.

Where a table has too many stacks to go through, `stacks_tried` says which take part.
"""

from dataclasses import dataclass
from functools import partial
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from ...colour.observer.chromaticity import stops
from ...colour.observer.data import Array
from ..cost.counted import affordable, cost_on, counted_on
from ..cost.judge import Judge
from ..cost.loss import loss
from ..stacks.enumerate import NONE, Choice, Indices
from ..stacks.prediction import PreparedSource, stacked
from .at_setting import HeadAtSetting, as_read, judged_at, spectra_at_each, stands_at
from .calibration import DialFit
from .search import FAR, BestSettings, Dials, Valley, dials_of, span_of
from .stacks_tried import stacks_tried
from .surfaces import surfaces_of

_FINALISTS = 48
"""Pairs predicted exactly, before neighbouring settings."""
_LEADERS = 2
"""The pairs of least cost, and of least risk, around which the surfaces decide nothing: so many of each."""
_ROUNDS = 8
"""The most rounds of looking at neighbours. Nearly always two or three are enough."""
_SLACK, _SLACK_SHARE, _SLACK_STOPS = 0.3, 0.15, 0.01
"""A pair is out if another loses less light, by these stops, and has less risk, by these steps and this
share. The allowance is for what the surfaces may be off."""
_WORTH = 0.1
"""A stack's second setting takes part if it costs this much less than the first, or is this much nearer.
[step]"""
_OFF = -1
"""Stands for the setting that was read, where it is not on the dials' steps or nobody noted it."""


class StackAtSetting(NamedTuple):
    """A stack (w,) on a head with its dials at a setting."""

    stack: Indices
    stand: HeadAtSetting


_Stands = dict[tuple[int, int], HeadAtSetting | None]
"""The head at settings, in steps of the dials; None where it gives no light of its kind."""


class _Rows(NamedTuple):
    """Pairs: indices of stacks (n,), settings in steps of the dials (n, 2), risk [step] and stops (n,)."""

    indices: Indices
    at: Indices
    risk: Array
    lost: Array

    def some(self, chosen: Indices) -> "_Rows":
        return _Rows(self.indices[chosen], self.at[chosen], self.risk[chosen], self.lost[chosen])


@dataclass(frozen=True, eq=False)
class DialledHead:
    """An adjustable head as it was read, who judges stacks on it, and what is asked."""

    judge: Judge
    fit: DialFit
    choice: Choice

    @property
    def bare(self) -> PreparedSource:
        """The head as it was read."""
        return self.judge.bare

    def pairs(self) -> list[StackAtSetting]:
        """Return the pairs that may be on the front; the first is the head as it is, with nothing added."""
        dials = dials_of(self.fit.reach)
        here = self._here(dials)
        stacks, rows, scatter = self._as_it_is(here)
        filters, spectra = (
            stacked(self.judge.gel_arrays.transmittances, stacks),
            partial(spectra_at_each, self.bare),
        )
        leave = self.bare.source.aim.leave
        surfaces = None if leave else surfaces_of(*span_of(self.fit, dials), filters, spectra)
        stands: _Stands = {here: as_read(self.bare)}
        if surfaces is None:
            rows = self._short(rows, stacks)
        else:
            valley = Valley(self.fit, dials, surfaces, self.bare.wanted.uv, scatter, self._tolerance)
            rows = self._short(_joined([rows, *self._settings(valley, here)]), stacks)
            rows = self._best_of_each(stacks, self._looked_around(valley, stacks, rows, stands))
        found = zip(rows.indices, rows.at, strict=True)
        return [StackAtSetting(stacks[k], stand) for k, (i, j) in found if (stand := stands[int(i), int(j)])]

    def _here(self, dials: Dials) -> tuple[int, int]:
        """Return where the dials stood when they were read."""
        at = None if self.fit.current is None else dials.place(self.fit.current)
        return (_OFF, _OFF) if at is None else (int(at[0]), int(at[1]))

    @property
    def _tolerance(self) -> float:
        return self.judge.limits.tolerance_steps

    def _as_it_is(self, here: tuple[int, int]) -> tuple[Indices, _Rows, Array]:
        """Return all stacks that let light through, with the dials as they were read, and their scatter (m,).

        The scatter is everything uncertain but the source's spectrum, as a mean square [step²]. The risk is
        as approximate as on the surfaces.
        """
        stacks = stacks_tried(self.judge, self.fit, self.choice)
        outcomes, sure = self.judge.landed(stacks)
        lit = np.isfinite(outcomes.steps)
        stacks, outcomes, covariance = stacks[lit], outcomes.at(np.flatnonzero(lit)), sure.covariance[lit]
        at = np.full((len(stacks), 2), here, dtype=np.intp)
        scatter = covariance.trace(axis1=1, axis2=2)
        risk = loss(np.sqrt(outcomes.steps**2 + scatter) + self.judge.fussy(stacks), self._tolerance)
        return stacks, _Rows(np.arange(len(stacks)), at, risk, stops(outcomes.passed)), scatter

    def _settings(self, valley: Valley, here: tuple[int, int]) -> list[_Rows]:
        """Return each stack at its nearest setting and, where that differs, at its cheapest.

        The setting that was read is left out: the reading itself counts there.
        """
        nearest, *cheaper = valley.best([self._able, self._price] if self.fit.light else [self._able])
        parts = [_chosen(nearest, here)]
        for cheapest in cheaper:
            saved = self._price(nearest.risk, nearest.stops) - self._price(cheapest.risk, cheapest.stops)
            parts.append(_chosen(cheapest, here, saved > _WORTH))
        return parts

    def _able(self, risk: Array, lost: Array, slack: float = _SLACK_STOPS) -> Array:
        """Weigh settings by the risk; those over the limit of light by more than `slack` [stop] come last."""
        most = self.judge.limits.max_stops
        if most is None:
            return risk
        able = affordable(lost - self.bare.least_stops, most + slack)
        return np.where(able, risk, risk + FAR)

    def _price(self, risk: Array, lost: Array) -> Array:
        """Weigh settings of one stack by the cost."""
        return self._cost(self._able(risk, lost), lost, np.zeros(1))

    def _cost(self, risk: Array, lost: Array, layers: Array) -> Array:
        """Return the cost of pairs by their risk, the light that they lose, and their layers."""
        return cost_on(risk, lost, self.bare, layers)

    def _short(self, rows: _Rows, stacks: Indices) -> _Rows:
        """Return the first row, then the others that may be on the front, the cheapest first."""
        layers = (stacks != NONE).sum(axis=1)[rows.indices]
        able = np.arange(len(layers))
        if self.judge.limits.max_stops is not None:
            able = able[rows.lost - self.bare.least_stops <= self.judge.limits.max_stops + _SLACK_STOPS]
        counted = counted_on(rows.lost[able], self.bare)
        least = _least(rows.risk[able], counted, layers[able])
        able = able[rows.risk[able] <= least + _SLACK + _SLACK_SHARE * least]
        price = self._cost(rows.risk[able], rows.lost[able], layers[able])
        able = able[np.argsort(price, kind="stable")][:_FINALISTS]
        return rows.some(np.concatenate([[0], able[able != 0]]))

    def _looked_around(self, valley: Valley, stacks: Indices, rows: _Rows, stands: _Stands) -> _Rows:
        """Return rows, and neighbours of the best of them, with exact figures. Adds to `stands`."""
        known, uv = rows.some(np.arange(0)), np.empty((0, 2))
        tried = np.arange(0)
        for turn in range(_ROUNDS):
            tried = np.concatenate([tried, _keys(rows, valley.dials)])
            rows, where = self._exactly(valley.dials, stacks, rows, stands)
            known, uv = _joined([known, rows]), np.concatenate([uv, where])
            rows = self._beside(valley, stacks, known, uv, all_of=turn == 0)
            keys, first = np.unique(_keys(rows, valley.dials), return_index=True)
            rows = rows.some(first[~np.isin(keys, tried)])
            if not len(rows.indices):
                break
        return known

    def _exactly(self, dials: Dials, stacks: Indices, rows: _Rows, stands: _Stands) -> tuple[_Rows, Array]:
        """Return rows with exact figures, and (u, v) (n, 2), without those whose setting gives no light."""
        settings = [(int(i), int(j)) for i, j in rows.at]
        new = sorted(set(settings) - stands.keys())
        if new:
            made = stands_at(self.bare, self.fit, dials.settings(new))
            stands.update(zip(new, made, strict=True))
        figures = np.full((len(settings), 4), np.nan)
        same = {
            setting: [k for k, other in enumerate(settings) if other == setting]
            for setting in set(settings)
            if stands[setting]
        }
        there = [stand for setting in same if (stand := stands[setting])]
        judged = judged_at(there, self.judge, [stacks[rows.indices[some]] for some in same.values()])
        for some, one in zip(same.values(), judged, strict=True):
            figures[some] = np.column_stack([one.risk, one.outcomes.passed, one.outcomes.uv])
        lit = np.flatnonzero(np.isfinite(figures[:, 0]))
        risk, passed, u, v = figures[lit].T
        return rows.some(lit)._replace(risk=risk, lost=stops(passed)), np.stack([u, v], axis=1)

    def _beside(self, valley: Valley, stacks: Indices, known: _Rows, uv: Array, *, all_of: bool) -> _Rows:
        """Return neighbours of the leading pairs that come near; with `all_of`, better ones of all pairs too.

        Surfaces judge them, moved to where the known pairs really land, `uv` (n, 2).
        """
        on = np.flatnonzero(known.at[:, 0] != _OFF)  # beside the others lies nothing
        known, uv = known.some(on), uv[on]
        leads = self._leading(stacks, known)
        near = np.where(leads, _SLACK + _SLACK_SHARE * known.risk, 0.0)
        chosen = np.flatnonzero(leads | all_of)
        known, uv, near = known.some(chosen), uv[chosen], near[chosen]
        if not len(chosen):
            return known
        around = valley.around(known.at)
        risk, lost = valley.moved(known.indices, known.at, uv).figures(around)
        middle = around.shape[1] // 2  # each setting itself stands in the middle of those around it
        risk = risk + known.risk[:, None] - risk[:, middle, None]
        lost = lost + known.lost[:, None] - lost[:, middle, None]
        most = self._able(known.risk, known.lost, slack=0.0) + near
        row, beside = np.nonzero(self._able(risk, lost) < most[:, None])
        return _Rows(known.indices[row], around[row, beside], risk[row, beside], lost[row, beside])

    def _leading(self, stacks: Indices, rows: _Rows) -> NDArray[np.bool_]:
        """Return which rows are of the least cost, or of the least risk."""
        leads = np.zeros(len(rows.indices), dtype=bool)
        for figures in self._weighed(stacks, rows):
            leads[np.argsort(figures, kind="stable")[:_LEADERS]] = True
        return leads

    def _best_of_each(self, stacks: Indices, rows: _Rows) -> _Rows:
        """Return each stack's cheapest setting, and its nearest where that is worth it; the nearest of all.

        The first of all, the head as it is, stays the first.
        """
        price, risk = self._weighed(stacks, rows)
        kept = {0, int(np.argmin(risk))}
        for index in np.unique(rows.indices):
            own = np.flatnonzero(rows.indices == index)
            cheapest, nearest = own[np.argmin(price[own])], own[np.argmin(risk[own])]
            kept.add(int(cheapest))
            if risk[cheapest] - risk[nearest] > _WORTH:
                kept.add(int(nearest))
        return rows.some(np.array(sorted(kept), dtype=np.intp))

    def _weighed(self, stacks: Indices, rows: _Rows) -> tuple[Array, Array]:
        """Return the cost and the risk (n,) of rows with exact figures."""
        risk = self._able(rows.risk, rows.lost, slack=0.0)
        return self._cost(risk, rows.lost, (stacks != NONE).sum(axis=1)[rows.indices]), risk


def _chosen(found: BestSettings, here: tuple[int, int], worth: NDArray[np.bool_] | bool = True) -> _Rows:
    """Return the settings that are `worth` it, save where there is no light, and where the dials stand."""
    indices = np.flatnonzero((found.risk < FAR) & (found.at != here).any(axis=1) & worth)
    return _Rows(indices, found.at[indices], found.risk[indices], found.stops[indices])


def _keys(rows: _Rows, dials: Dials) -> Indices:
    """Return a number (n,) for each pair; the same for the same stack and setting."""
    return np.asarray((rows.indices * (dials.ccts + 1) + rows.at[:, 0]) * (dials.greens + 1) + rows.at[:, 1])


def _joined(parts: list[_Rows]) -> _Rows:
    return _Rows(*(np.concatenate(columns) for columns in zip(*parts, strict=True)))


def _least(risk: Array, lost: Array, layers: Indices) -> Array:
    """Return for each the least risk (n,) of those of no more layers that lose `_SLACK_STOPS` less."""
    least = np.empty(len(risk))
    for layer in np.unique(layers):
        pool, here = np.flatnonzero(layers <= layer), layers == layer
        order = pool[np.argsort(lost[pool], kind="stable")]
        at = np.searchsorted(lost[order], lost[here] - _SLACK_STOPS, side="right")
        least[here] = np.concatenate([[np.inf], np.minimum.accumulate(risk[order])])[at]
    return least
