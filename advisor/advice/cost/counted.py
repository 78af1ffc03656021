"""Which stacks are worth showing, and in which order."""

import numpy as np
from numpy.typing import NDArray

from ...colour.observer.data import Array

STOP_IN_STEPS = 2.0
"""A stop of light weighs this many steps."""
LAYER_IN_STEPS = 0.5
"""A layer more to cut, hang and rattle weighs this many steps."""
MOVE_IN_STEPS = 0.5
"""A sheet that is taken off or hung after a reading weighs as much as a layer. Common practice, no source."""
TOO_BRIGHT = 10.0
"""A stop too few, where light has to be lost, weighs this many too many."""
_TENTHS = 10.0
"""Light counts in so many parts of a stop, as pages show it."""
_ALIKE = 1e-9
"""Losses and costs that lie no farther apart are the same number."""


def cost(risk: Array, stops: Array, layers: Array) -> Array:
    """Return what orders the stacks, in steps: it grows with each of risk, stops and layers.

    `risk` is the expected loss of being off (`judge`), `stops` the light that counts (`counted_loss`). The
    weights, two steps a stop and half a step a layer, are a judgement of ours (no source). Light counts in
    whole tenths of a stop: a tenth weighs less than a layer, so layers decide between stacks that are that
    near in light.
    """
    return np.asarray(risk + STOP_IN_STEPS * tenths(stops) + LAYER_IN_STEPS * layers)


def tenths(stops: Array) -> Array:
    """Return stops in whole tenths: nothing nearer is told apart, on a page or by an eye."""
    return np.asarray(np.floor(np.asarray(stops) * _TENTHS + 0.5 + _ALIKE) / _TENTHS)


def counted_loss(stops: Array, least: float) -> Array:
    """Return the stops that count: those beyond the `least` that has to be lost, and ten for each too few.

    With nothing to lose they are the stops themselves.
    """
    beyond = np.asarray(stops) - least
    return np.where(beyond >= 0.0, beyond, -TOO_BRIGHT * beyond) if least > 0.0 else np.asarray(stops)


def affordable(stops: Array, most: float | None) -> NDArray[np.bool_]:
    """Return which losses of light (n,) are within a limit [stop]; the order of sums is no loss."""
    return np.ones(np.shape(stops), np.bool_) if most is None else np.asarray(stops <= most + _ALIKE)


def merge_ties(values: Array) -> Array:
    """Return values (n,) with those that only the order of sums tells apart made the same.

    Rounded to decimals they would not be: what is the same may lie on both sides of a half, and on which
    depends on the machine. A chain of such neighbours is one number; infinite ones are the same, and NaN
    stays NaN.
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
    """Return the places of the stacks that no other beats, in rising order.

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
    """Return which of (n,) are beaten by none of the others in miss and stops."""
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
