"""Which stacks are worth showing, and in which order: what risk, light and layers cost together.

A layer is dear on glass: it comes off a roll, is taped or pressed in panels, and takes a ladder. Common
practice, no source: the figures are our judgement.
"""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from ...colour.observer.chromaticity import stops as stops_lost
from ...colour.observer.data import Array
from ...model import Kind, Source
from ..stacks.prediction import PreparedSource, light_due

STOP_IN_STEPS = 2.0
"""A stop of light weighs this many steps."""
LAYER_IN_STEPS = 0.5
"""A layer more to cut, hang and rattle weighs this many steps."""
MOVE_IN_STEPS = 0.5
"""A sheet that is taken off or hung after a reading weighs as much as a layer. Common practice, no source."""
TOO_BRIGHT = 10.0
"""If a source has to lose light, a stop too little counts as much as this many stops too much."""
OFF_EITHER_WAY = 4.0
"""If a source is to give just so much light, a stop more or less counts as this many stops lost. A third of a
stop, which a crew lets pass, then weighs about as much as the usual tolerance. Our judgement."""
_TENTHS = 10.0
"""The parts of a stop in which light counts, as pages show it."""
_ALIKE = 1e-9
"""Losses and costs that differ by no more than this are equal: only rounding tells them apart."""
MARGIN = 1e-7
"""A bound rules nothing out by a difference smaller than this. [step or stop]"""
SHEET = 0.53 * 1.22
"""A sheet of gel: a window is dear by how many of them its glass takes. [m²] Common practice, no source."""
MOST_MORE = 3.0
"""The most layers more that each layer beyond the first counts as, on glass: in all it then has to bring two
steps."""


def cost(risk: Array, stops: Array, layers: Array | NDArray[np.intp]) -> Array:
    """Return the cost by which stacks are ordered, (m,) [step]: a weighted sum of risk, stops and layers.

    `risk` is the expected loss (`judge`), `stops` the loss of light that counts (`counted_loss`). The
    weights, two steps a stop and half a step a layer, are our judgement, no source. Light counts in whole
    tenths of a stop. A tenth weighs less than a layer, so layers decide between stacks that differ by a
    tenth.
    """
    return np.asarray(risk + STOP_IN_STEPS * tenths(stops) + LAYER_IN_STEPS * layers)


def cost_of(risk: Array, passed: Array, bare: PreparedSource, layers: Array) -> Array:
    """Return the `cost` on a source of stacks that pass a share `passed` (m,); layers as on its glass."""
    return cost_on(risk, stops_lost(passed), bare, counted_layers(layers, second_layer(bare.source)))


def cost_on(risk: Array, stops: Array, bare: PreparedSource, layers: Array) -> Array:
    """Return the `cost` on a source of stacks that lose `stops` (m,)."""
    return cost(risk, counted_on(stops, bare), layers)


def dear(source: Source) -> float:
    """Return how many layers more than on one head a layer on a source counts as.

    A head counts by its openings, and glass by its area in sheets, since it comes off a roll.
    """
    if source.kind is Kind.DAYLIGHT:
        sheets = sum(one.count * max(one.width * one.height / SHEET, 1.0) for one in source.openings)
    else:
        sheets = float(sum(one.count for one in source.openings))
    return max(sheets - 1.0, 0.0)


def second_layer(source: Source) -> float:
    """Return how many layers more each layer beyond the first counts as on a source.

    Only glass whose size is known is dear: the first layer is put up on clean glass, and a second one has to
    lie on that without a bubble. Nothing on a head.
    """
    return min(dear(source), MOST_MORE) if source.kind is Kind.DAYLIGHT else 0.0


def second_layers(sources: Sequence[Source]) -> list[float]:
    """Return of each source what `second_layer` does."""
    return [second_layer(source) for source in sources]


def counted_layers(layers: Array | NDArray[np.intp], more: Array | float) -> Array:
    """Return as how many layers (m,) count, where each beyond the first counts as `more` besides."""
    return np.asarray(layers + more * np.maximum(layers - 1, 0))


def costs_on(
    bares: Sequence[PreparedSource], sizes: Sequence[int], risk: Array, stops: Array, layers: NDArray[np.intp]
) -> Array:
    """Return the `cost` of stacks that lose `stops` (m,), so many on each source; layers as on its glass."""
    _, due, just = light_due(bares, sizes)
    more = np.repeat(second_layers([bare.source for bare in bares]), sizes)
    return cost(risk, counted_loss(stops, due, just), counted_layers(layers, more))


def tenths(stops: Array) -> Array:
    """Return stops in whole tenths: nothing nearer is told apart, on a page or by an eye."""
    return np.asarray(np.floor(np.asarray(stops) * _TENTHS + 0.5 + _ALIKE) / _TENTHS)


def counted_loss(stops: Array, due: Array | float, just: NDArray[np.bool_] | bool = False) -> Array:
    """Return the loss of light that counts (m,) [stop], for losses of `stops` where `due` has to be lost.

    Each stop above `due` counts once, each stop short of it ten times; where it is to be `just` that, each
    stop off it counts OFF_EITHER_WAY times. If nothing has to be lost, all count.
    """
    beyond = np.asarray(stops) - due
    counted = np.where((beyond < 0.0) & (np.asarray(due) > 0.0), -TOO_BRIGHT * beyond, beyond)
    return np.where(just, OFF_EITHER_WAY * np.abs(beyond), counted)


def counted_on(stops: Array, bare: PreparedSource) -> Array:
    """Return the loss of light that counts on a source [stop], for losses of `stops` (`counted_loss`)."""
    return counted_loss(stops, bare.due_stops, bare.just)


def affordable(stops: Array, most: Array | float | None) -> NDArray[np.bool_]:
    """Return which losses of light (n,) are within a limit [stop], rounding aside."""
    return np.ones(np.shape(stops), np.bool_) if most is None else np.asarray(stops <= most + _ALIKE)


def by_cost(price: Array, layers: NDArray[np.intp], lost: Array) -> NDArray[np.intp]:
    """Return the indices of stacks (m,) in rising order of cost [step].

    At equal cost, fewer layers come first, then less light `lost` [stop].
    """
    return np.lexsort((merge_ties(lost), layers, merge_ties(price)))


def cheapest_first(risk: Array, lost: Array, layers: NDArray[np.intp]) -> NDArray[np.intp]:
    """Return the indices of the stacks (m,) that no other beats (`pareto`), in rising order of cost.

    The one of the least cost is among them, also where another one beats it by no more than rounding.
    """
    price, shown = cost(risk, lost, layers), np.zeros(len(risk), dtype=np.bool_)
    shown[pareto(risk, lost, layers)] = True
    shown[np.argmin(price)] = True
    return np.asarray(np.flatnonzero(shown)[by_cost(price[shown], layers[shown], lost[shown])])


def merge_ties(values: Array) -> Array:
    """Return values (n,) in which those that differ only by rounding in a sum are made equal.

    Rounding to decimals would not do it: two such values may lie on either side of a half, differently on
    each machine. A chain of near neighbours becomes one number. Infinite values are equal, and NaN stays NaN.
    """
    order = np.argsort(values, kind="stable")
    rising = values[order]
    first = np.ones(len(values), dtype=np.bool_)
    with np.errstate(invalid="ignore"):
        same = (np.diff(rising) <= _ALIKE) | (rising[1:] == rising[:-1])
    first[1:] = ~same
    result = np.empty(len(values))
    result[order] = rising[first][np.cumsum(first) - 1]
    return result


def pareto(risk: Array, stops: Array, layers: NDArray[np.intp]) -> NDArray[np.intp]:
    """Return the indices of the stacks that no other beats, in rising order.

    One stack beats another if it is no worse in risk, stops (in tenths) and layers and better in one. Stacks
    equal in all three stay together.
    """
    steps, stops = merge_ties(risk), tenths(stops)
    kept = np.zeros(0, dtype=np.intp)
    for layer in np.unique(layers):
        here = np.flatnonzero(layers == layer)
        beaten = (steps[kept][:, None] <= steps[here]) & (stops[kept][:, None] <= stops[here])
        here = here[~beaten.any(axis=0)]
        kept = np.concatenate([kept, here[_unbeaten(steps[here], stops[here])]])
    return np.sort(kept)


def _unbeaten(steps: Array, stops: Array) -> NDArray[np.bool_]:
    """Return which of n stacks no other beats in risk and stops, (n,)."""
    if not len(steps):
        return np.zeros(0, dtype=np.bool_)
    order = np.lexsort((steps, stops))
    miss, loss = steps[order], stops[order]
    first = np.searchsorted(loss, loss, side="left")
    least = np.minimum.accumulate(miss)
    before = np.where(first > 0, least[np.maximum(first - 1, 0)], np.inf)
    result = np.zeros(len(steps), dtype=np.bool_)
    result[order] = (miss == miss[first]) & (miss < before)
    return result


class Frontier:
    """Stacks that were judged: the least risk for each loss of light, falling as the loss rises."""

    def __init__(self) -> None:
        self._stops: Array = np.zeros(0)
        self._risk: Array = np.zeros(0)

    def add(self, risk: Array, lost: Array) -> None:
        """Take in stacks by their risk (m,) and the stops that they cost (m,)."""
        lost = np.concatenate([self._stops, lost])
        risk = np.concatenate([self._risk, risk])
        seen = np.flatnonzero(np.isfinite(risk) & np.isfinite(lost))
        order = seen[np.lexsort((risk[seen], lost[seen]))]
        least = np.minimum.accumulate(risk[order])
        lower = np.concatenate([[True], least[1:] < least[:-1]]) if len(least) else np.zeros(0, np.bool_)
        self._stops, self._risk = lost[order][lower], least[lower]

    @property
    def best(self) -> float:
        """The least risk that is known."""
        return float(self._risk[-1]) if len(self._risk) else float("inf")

    def least(self, lost: Array) -> Array:
        """Return the least risk that is known at each loss (m,); infinite where none is."""
        at = np.searchsorted(self._stops, lost, side="right")
        return np.concatenate([[np.inf], self._risk])[at]

    def beats(self, risk: Array, lost: Array) -> NDArray[np.bool_]:
        """Return where a known stack surely beats every stack of at least this `risk` and at least this loss.

        Losses that count are whole tenths of a stop, so they are either equal or well apart.
        """
        return np.asarray(~(risk <= self.least(lost + MARGIN) + MARGIN))
