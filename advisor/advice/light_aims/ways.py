"""The ways in which one source comes to give a light that is wanted of it, in one ranking with its colour.

A way is a dimmer level or a distance, with a stack. The dimmer goes before gel: it costs nothing by itself,
but the head's colour drifts with it, and each level is ranked from what the head reads there. ND and scrims
are layers like any other. A distance changes the light by the inverse square of it and moves no colour; it
holds for a source that is small beside the distance (CIE 84:1989, five times its size; from memory).

The cost of a way is that of its stack (`cost.counted`), with the light that is off what is wanted, and a step
more if somebody has to move the stand.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from math import log2

import numpy as np

from ...model import Kind, Limits, Refused, Role, Source, StackAdvice
from ..answer.advise import rank_all
from ..answer.key_limit import EVEN
from ..answer.one_stack import predict_stack
from ..cost.counted import OFF_EITHER_WAY, STOP_IN_STEPS, TOO_BRIGHT, counted_on, tenths
from ..plan.ready import ready_each
from ..readings.chromaticity import WhitePoint
from ..readings.dim_levels import DimCurve
from ..stacks.gel_arrays import GelArrays
from ..stacks.prediction import PreparedSource
from .levels import dimmer_of, level_for, levels_worth
from .wanted import WantedLight

MOVED_IN_STEPS = 1.0
"""To move a stand weighs as much as two layers: the light's shape changes with it. [step] Our judgement."""
NEAREST, FARTHEST = 0.5, 2.0
"""A stand is moved to no less than half its distance, and to no more than twice. Our judgement."""
_NO_STAND = (Kind.DAYLIGHT, Kind.SODIUM)


class LightMove(StrEnum):
    """How a way loses light: by gel alone, by the dimmer, by both of them, or by distance."""

    GEL = "gel"
    DIMMER = "dimmer"
    BOTH = "both"
    DISTANCE = "distance"


@dataclass(frozen=True)
class LightWay:
    """One way for a source: `stack` with the dimmer at `level` [%], at `times` its distance.

    `level` is None where the dimmer stays. It gives `lux`, which is `off` what is wanted [stop]: above zero
    too bright, below too dark; a source that may give no more is not too dark. `cost` is in steps.
    """

    move: LightMove
    level: float | None
    times: float
    stack: StackAdvice
    lux: float
    off: float
    cost: float

    @property
    def reaches(self) -> bool:
        """Whether the light is what is wanted, as near as a meter can tell."""
        return abs(self.off) < 2.0 * EVEN


@dataclass(frozen=True, eq=False)
class LitSource:
    """A source whose light is to be changed, as it was read, with the white it goes to and what may hang."""

    source: Source
    white: WhitePoint
    gel_arrays: GelArrays
    limits: Limits

    def ways(self, wanted: WantedLight) -> list[LightWay]:
        """Return the best way of each kind, the least cost first; none where its light is not known.

        Raises Refused where it cannot be measured as it is used.
        """
        here = self.at(None)
        if here is None or not here.source.reading.lux:
            return []
        line, now = dimmer_of(self.source), here.source.reading.level
        levels = [level for level in (levels_worth(line, wanted.lux) if line else ()) if level != now]
        bares = {None: here} | {k: bare for k in levels if (bare := self.at(k)) and bare.source.reading.lux}
        as_asked = [_asked(bare, wanted) for bare in bares.values()]
        free = replace(here, over=None, exact=False)
        answers = rank_all(dict(enumerate([*as_asked, free])), self.limits, self.gel_arrays)
        found = [_way(LightMove.GEL, None, _least(answers[0].stacks), as_asked[0], wanted)]
        if line:
            dimmed = zip(bares, as_asked, list(answers.values())[:-1], strict=True)
            ways = [self._dimmed(k, bare, one.stacks, wanted) for k, bare, one in dimmed if k is not None]
            for dims in map(list, zip(*ways, strict=True)):
                found += [self._trimmed(least, line, now, wanted)] if (least := _cheapest(dims)) else []
        if movable(self.source):
            found += _at_distance(answers[len(as_asked)].stacks, here, wanted)
        found.sort(key=lambda way: (way.cost, way.move is LightMove.DISTANCE))
        # Dimmer and ND together are two things to do: they are told only where nothing else does better.
        return [way for k, way in enumerate(found) if k == 0 or way.move is not LightMove.BOTH]

    def _dimmed(
        self, level: float, bare: PreparedSource, stacks: Sequence[StackAdvice], wanted: WantedLight
    ) -> tuple[LightWay | None, LightWay | None]:
        """Return the best way at a level with the dimmer alone to lose light, and with ND or scrims too."""
        alone: list[LightWay] = []
        both: list[LightWay] = []
        names, dimming = self.gel_arrays.names, self.gel_arrays.dimming
        dims = {names[i] for i in dimming.nonzero()[0]} - set(self.source.keep)
        for stack in stacks:
            also = not dims.isdisjoint(stack.gels)
            move = LightMove.BOTH if also else LightMove.DIMMER
            (both if also else alone).append(_way(move, level, stack, bare, wanted))
        return _cheapest(alone), _cheapest(both)

    def at(self, level: float | None) -> PreparedSource | None:
        """Return the source made ready at a dimmer level [%], None for the present; None where it cannot be.

        What it reads there is read, or interpolated with its drift in colour (`readings.dim_levels`).
        """
        source = self.source if level is None else self.source.model_copy(update={"level": level})
        [made] = ready_each([source], self.white, self.gel_arrays, self.limits)
        return made.bare

    def _trimmed(self, way: LightWay, line: DimCurve, now: float | None, wanted: WantedLight) -> LightWay:
        """Set the dimmer to the whole per cent at which its stack gives what is wanted, if that is better.

        Where that is the level `now`, it stays: another way has that.
        """
        level = level_for(line, wanted.lux * 2.0**way.stack.stops)
        bare = None if level in (None, way.level, now) else self.at(level)
        if bare is None or not bare.source.reading.lux:
            return way
        asked = _asked(bare, wanted)
        try:
            stack = predict_stack(asked, self.limits, self.gel_arrays, way.stack.gels, way.stack.dial)
        except Refused:
            return way
        trimmed = _way(way.move, level, stack, asked, wanted)
        return trimmed if trimmed.cost < way.cost else way


def movable(source: Source) -> bool:
    """Whether somebody can move it on a stand: no window, no street lamp, nothing that is in the picture."""
    return source.kind not in _NO_STAND and source.role is not Role.PRACTICAL


def _asked(bare: PreparedSource, wanted: WantedLight) -> PreparedSource:
    lux = bare.source.reading.lux
    assert lux, "only a source whose light is known is asked for light"
    return replace(bare, over=log2(lux / wanted.lux), exact=wanted.exact)


def _cheapest(ways: Sequence[LightWay | None]) -> LightWay | None:
    return min((way for way in ways if way), key=lambda way: way.cost, default=None)


def _least(stacks: Sequence[StackAdvice]) -> StackAdvice:
    return min(stacks, key=lambda stack: stack.cost)


def _way(
    move: LightMove, level: float | None, stack: StackAdvice, bare: PreparedSource, wanted: WantedLight
) -> LightWay:
    assert bare.over is not None, "it was asked for light"
    off = bare.over - stack.stops
    lux = wanted.lux * 2.0**off
    return LightWay(move, level, 1.0, stack, lux, _told(off, wanted), stack.cost)


def _told(off: float, wanted: WantedLight) -> float:
    return off if wanted.exact else max(off, 0.0)


def _at_distance(stacks: Sequence[StackAdvice], bare: PreparedSource, wanted: WantedLight) -> list[LightWay]:
    """Return the best way with another distance; none where it does not help.

    `stacks` were ranked without regard to the light that is wanted; what they lose is made good by distance.
    """
    ways = []
    over = _asked(bare, wanted).over or 0.0
    for stack in stacks:
        excess = over - stack.stops
        if abs(excess) < EVEN or (excess < 0.0 and not wanted.exact):
            continue
        times = min(max(2.0 ** (excess / 2.0), NEAREST), FARTHEST)
        off = excess - 2.0 * log2(times)
        light = float(tenths(counted_on(np.array(stack.stops), replace(bare, over=None, exact=False))))
        cost = stack.cost - STOP_IN_STEPS * light + MOVED_IN_STEPS + _missed(off, wanted)
        lux = wanted.lux * 2.0**off
        ways.append(LightWay(LightMove.DISTANCE, None, times, stack, lux, _told(off, wanted), cost))
    return [min(ways, key=lambda way: way.cost)] if ways else []


def _missed(off: float, wanted: WantedLight) -> float:
    """Return what a light that is off counts [step], as in the ranking of stacks."""
    if wanted.exact:
        return STOP_IN_STEPS * OFF_EITHER_WAY * abs(off)
    return STOP_IN_STEPS * TOO_BRIGHT * max(off, 0.0)
