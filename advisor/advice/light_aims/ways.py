"""The ways in which one source comes to give a light that is wanted of it, in one ranking with its colour.

A way is a dimmer level or a distance, with a stack. The dimmer goes before gel: it costs nothing by itself,
but the head's colour drifts with it, and each level is ranked from what the head reads there. ND and scrims
are layers like any other. A distance changes the light by the inverse square of it and moves no colour; it
holds for a source that is small beside the distance (CIE 84:1989, five times its size; from memory).

The cost of a way is that of its stack (`cost.counted`), with the light that is off what is wanted, and a step
more if somebody has to move the stand. But what nobody has to climb for with gel goes first: a dimmer and
dials that give the light, in a colour within the tolerance, go before gel that hits either of them better.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from math import log2

import numpy as np

from ...model import Kind, Limits, Refused, Role, Source, StackAdvice
from ...model.sets.behind import changed
from ..answer.advise import rank_all
from ..answer.key_limit import EVEN
from ..answer.one_stack import predict_stack
from ..cost.counted import OFF_EITHER_WAY, STOP_IN_STEPS, TOO_BRIGHT, counted_on, tenths
from ..plan.ready import ready
from ..readings.chromaticity import WhitePoint
from ..readings.dim_curve import DimCurve, line_of
from ..stacks.gel_arrays import GelArrays
from ..stacks.prediction import PreparedSource
from .levels import as_usually_dimmed, dimmer_of, level_for, levels_worth
from .wanted import WantedLight

MOVED_IN_STEPS = 1.0
"""To move a stand weighs as much as two layers: the light's shape changes with it. [step] Our judgement."""
NEAREST, FARTHEST = 0.5, 2.0
"""A stand is moved to no less than half its distance, and to no more than twice. Our judgement."""
_PASSES = 1.0 / 3.0
"""A light nearer than this to what is asked passes with a crew. [stop] Common practice, no source."""
_AS_FAR = 0.05
"""A stand that would move by a smaller share of its distance than this stays: pages show tenths."""
_NO_STAND = (Kind.DAYLIGHT, Kind.SODIUM)


class LightMove(StrEnum):
    """How a way loses light: by dials alone, gel alone, the dimmer, dimmer and gel, or by distance."""

    DIALS = "dials"
    GEL = "gel"
    DIMMER = "dimmer"
    BOTH = "both"
    DISTANCE = "distance"


@dataclass(frozen=True)
class LightWay:
    """One way for a source: `stack` with the dimmer at `level` [%], at `times` its distance.

    `level` is None where the dimmer stays. It gives `lux`, which is `off` what is wanted [stop]: above zero
    too bright, below too dark; a source that may give no more is not too dark. `cost` is in steps. `free` is
    true if no gel is hung and no stand moved, and the colour is within the tolerance. `about` says that
    nobody read what the source gives at that level: it is as dimmers usually do.
    """

    move: LightMove
    level: float | None
    times: float
    stack: StackAdvice
    lux: float
    off: float
    cost: float
    exact: bool
    free: bool = False
    about: bool = False

    @property
    def reaches(self) -> bool:
        """Whether the light is what is wanted: to a third of a stop, or beneath a limit as a meter tells."""
        return abs(self.off) <= (_PASSES if self.exact else 2.0 * EVEN)


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
        likely = as_usually_dimmed(self.source) if line is None else None
        if likely is not None:
            dimmed = replace(self, source=likely)
            line = line_of(likely)
            return dimmed._ways(wanted, here, line, now, about=True)
        return self._ways(wanted, here, line, now, about=False)

    def _ways(
        self,
        wanted: WantedLight,
        here: PreparedSource,
        line: DimCurve | None,
        now: float | None,
        *,
        about: bool,
    ) -> list[LightWay]:
        few = self.source.reach is not None
        worth = levels_worth(line, wanted.lux, dials=few) if line else {}
        levels = [level for level in worth if level != now]
        bares = {None: here} | {k: bare for k in levels if (bare := self.at(k)) and bare.source.reading.lux}
        as_asked = [_asked(bare, wanted) for bare in bares.values()]
        free = replace(here, over=None, exact=False)
        answers = rank_all(dict(enumerate([*as_asked, free])), self.limits, self.gel_arrays)
        *stacks, moved = [self._scrims_first(self._by_dials(one.stacks)) for one in answers.values()]
        found = self._here(stacks[0], as_asked[0], wanted)
        if line:
            dimmed = zip(bares, as_asked, stacks, strict=True)
            ways = [self._dimmed(k, bare, each, wanted) for k, bare, each in dimmed if k is not None]
            best = [least for dims in zip(*ways, strict=True) if (least := _cheapest(dims))]
            trimmed = [replace(self._trimmed(way, line, now, wanted), about=about) for way in best]
            for move in (LightMove.DIMMER, LightMove.BOTH):
                found += [one] if (one := _first([way for way in trimmed if way.move is move])) else []
        if movable(self.source):
            found += [way for way in _at_distance(moved, here, wanted) if self._worth_moving(way, found)]
        found.sort(key=_rank)
        # Dimmer and ND together are two things to do: they are told only where nothing else does better.
        return [way for k, way in enumerate(found) if k == 0 or way.move is not LightMove.BOTH]

    def _by_dials(self, stacks: Sequence[StackAdvice]) -> list[StackAdvice]:
        """Return stacks without those that hang colour, if dials bring the head near: it were ND alone."""
        source, dimming = self.source, self.gel_arrays.dimming
        stands = source.hanging if source.hanging is not None else source.keep

        def coloured(stack: StackAdvice) -> bool:
            return not dimming[list(self.gel_arrays.find(changed(stands, stack.gels)[1]))].all()

        plain = [stack for stack in stacks if not coloured(stack)]
        tolerance = self.limits.tolerance_of(source)
        near = any(stack.dial and stack.miss.steps <= tolerance for stack in plain)
        return plain if near and source.reach else list(stacks)

    def _scrims_first(self, stacks: Sequence[StackAdvice]) -> list[StackAdvice]:
        """Return stacks with scrims before ND that costs the same: a scrim is not cut, and does not burn."""
        arrays = self.gel_arrays
        cut = {arrays.names[i] for i in (arrays.dimming & ~arrays.scrims).nonzero()[0]}
        return sorted(stacks, key=lambda stack: (stack.cost, sum(name in cut for name in stack.gels)))

    def _worth_moving(self, way: LightWay, others: Sequence[LightWay]) -> bool:
        """Whether a distance is told: not where another way gives the light in a colour plainly nearer."""
        nearer = way.stack.miss.steps - self.limits.tolerance_of(self.source)
        return not any(one.reaches and one.stack.miss.steps < nearer for one in others)

    def _here(
        self, stacks: Sequence[StackAdvice], bare: PreparedSource, wanted: WantedLight
    ) -> list[LightWay]:
        """Return the best way with the dimmer as it is; of an adjustable head that with no gel, beside it."""
        best = self._way(LightMove.GEL, None, _least(stacks), bare, wanted)
        if self.source.reach is None or not self._hung(best.stack):
            return [best]
        bare_ways = [
            self._way(LightMove.DIALS, None, stack, bare, wanted) for stack in stacks if not self._hung(stack)
        ]
        dials = _cheapest([way for way in bare_ways if way.stack.dial and way.free and way.reaches])
        return [dials, best] if dials else [best]

    def _hung(self, stack: StackAdvice) -> bool:
        """Whether gel is hung for a stack that does not hang yet."""
        source = self.source
        return bool(changed(source.hanging if source.hanging is not None else source.keep, stack.gels)[1])

    def _way(
        self,
        move: LightMove,
        level: float | None,
        stack: StackAdvice,
        bare: PreparedSource,
        wanted: WantedLight,
    ) -> LightWay:
        assert bare.over is not None, "it was asked for light"
        off = bare.over - stack.stops
        lux = wanted.lux * 2.0**off
        free = not self._hung(stack) and stack.miss.steps <= self.limits.tolerance_of(self.source)
        return LightWay(move, level, 1.0, stack, lux, _told(off, wanted), stack.cost, wanted.exact, free)

    def _dimmed(
        self, level: float, bare: PreparedSource, stacks: Sequence[StackAdvice], wanted: WantedLight
    ) -> tuple[LightWay | None, LightWay | None, LightWay | None]:
        """Return the best way at a level with no gel hung, the dimmer alone losing light, and with ND."""
        alone: list[LightWay] = []
        both: list[LightWay] = []
        names, dimming = self.gel_arrays.names, self.gel_arrays.dimming
        dims = {names[i] for i in dimming.nonzero()[0]} - set(self.source.keep)
        for stack in stacks:
            also = not dims.isdisjoint(stack.gels)
            move = LightMove.BOTH if also else LightMove.DIMMER
            (both if also else alone).append(self._way(move, level, stack, bare, wanted))
        return _cheapest([way for way in alone if way.free]), _cheapest(alone), _cheapest(both)

    def at(self, level: float | None) -> PreparedSource | None:
        """Return the source made ready at a dimmer level [%], None for the present; None where it cannot be.

        What it reads there is read, or interpolated with its drift in colour (`readings.dim_levels`).
        """
        source = self.source if level is None else self.source.model_copy(update={"level": level})
        return ready(source, self.white, self.gel_arrays, self.limits).bare

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
        trimmed = self._way(way.move, level, stack, asked, wanted)
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


def _rank(way: LightWay) -> tuple[bool, float, bool]:
    """Return by what a way stands in the list: first what is free and gives the light, then by cost."""
    return not (way.free and way.reaches), way.cost, way.move is LightMove.DISTANCE


def _first(ways: Sequence[LightWay]) -> LightWay | None:
    return min(ways, key=_rank, default=None)


def _least(stacks: Sequence[StackAdvice]) -> StackAdvice:
    return min(stacks, key=lambda stack: stack.cost)


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
        if abs(times - 1.0) < _AS_FAR:
            continue
        off = excess - 2.0 * log2(times)
        light = float(tenths(counted_on(np.array(stack.stops), replace(bare, over=None, exact=False))))
        cost = stack.cost - STOP_IN_STEPS * light + MOVED_IN_STEPS + _missed(off, wanted)
        lux = wanted.lux * 2.0**off
        told = _told(off, wanted)
        ways.append(LightWay(LightMove.DISTANCE, None, times, stack, lux, told, cost, wanted.exact))
    return [min(ways, key=lambda way: way.cost)] if ways else []


def _missed(off: float, wanted: WantedLight) -> float:
    """Return what a light that is off counts [step], as in the ranking of stacks."""
    if wanted.exact:
        return STOP_IN_STEPS * OFF_EITHER_WAY * abs(off)
    return STOP_IN_STEPS * TOO_BRIGHT * max(off, 0.0)
