"""A white with the whole plan for it, and whether it is plainly better than the present one."""

from dataclasses import dataclass
from math import log2

from ...colour.observer.data import Array
from ...model import Problem, Seen, StackAdvice, Target
from ..cost.counted import LAYER_IN_STEPS
from ..readings.chromaticity import WhitePoint
from ..wording.outlook import NEAR
from .grid import Grid

HALF_A_STOP = 0.5
"""So much more light at the subject is worth another white. [stop] Our judgement."""
FEW_CUTS = 2
"""So many cuts more are few for a white that brings in a source which takes no gel. Our judgement."""
_SAME = 0.05
"""What is less further off is told as no further. [step]"""
FURTHER = 3.0
"""A source off by more than this more than now is plainly further off. [step] Our judgement."""


@dataclass(frozen=True)
class Part:
    """What a source gets at a white: its stack, how many sheets of gel that is, and how good that is.

    `seen` is the word that pages have for it: as it was read right behind what hangs, else as it is foreseen.
    `out` says that it is out of reach, whatever hangs. `sheets` is one for each layer that is added and each
    opening; an opening is one where none is given. `lux` is what it gives bare at the subject [lx], None
    where nobody metered it, and 0 of a source whose light does not fall there.
    """

    name: str
    stack: StackAdvice
    layers: int
    sheets: int
    seen: Seen
    out: bool
    lux: float | None = 0.0

    @property
    def off(self) -> bool:
        """Whether pages tell it as off: a bit, or obviously."""
        return self.seen not in NEAR


@dataclass(frozen=True)
class Option:
    """A white with the whole plan for it. `value` is its total cost [steps], the less the better.

    `follows` names the source without gel, off at the present white, for which it is shown.
    """

    target: Target
    white: WhitePoint
    value: float
    parts: tuple[Part, ...]
    follows: str = ""

    @property
    def layers(self) -> int:
        """Layers to hang on all sources together."""
        return sum(part.layers for part in self.parts)

    @property
    def sheets(self) -> int:
        """Sheets to hang, one a layer and opening."""
        return sum(part.sheets for part in self.parts)

    @property
    def stops(self) -> float:
        """Light lost, added up over the sources. [stop]"""
        return sum(part.stack.stops for part in self.parts)

    @property
    def off(self) -> tuple[Part, ...]:
        """The sources that are told as off, the furthest first."""
        return tuple(sorted((p for p in self.parts if p.off), key=lambda p: -p.stack.miss.steps))

    @property
    def at_subject(self) -> float | None:
        """Light lost at the subject, all sources together [stop]; None where one was not metered there."""
        lit = [(part.lux, part.stack.stops) for part in self.parts]
        known = [(lux, lost) for lux, lost in lit if lux is not None]
        whole = sum(lux for lux, _ in known)
        left = sum(lux * 2.0**-lost for lux, lost in known)
        return log2(whole / left) if len(known) == len(lit) and left > 0.0 else None


def plainly_better(option: Option, present: Option) -> bool:
    """Whether a white is worth going to from the present one.

    It has fewer cuts, fewer sources off or half a stop more at the subject, and is better in all by more than
    a layer weighs. Cuts and light alone are not worth it where somebody else is off then, or comes plainly
    further off; fewer sources off are not where one that is not off now is obvious then.
    """
    newly = newly_off(option, present)
    if any(part.seen is Seen.OBVIOUS for part in newly):
        return False
    lighter = gained_light(option, present) >= HALF_A_STOP
    saves = (option.sheets < present.sheets or lighter) and not (newly or further_off(option, present))
    gains = saves or fewer_off(option, present) > 0
    return gains and option.value < present.value - LAYER_IN_STEPS


def brings_in(option: Option, present: Option, name: str) -> bool:
    """Whether a white brings a source in for few cuts more, and puts nobody else off or further off."""
    if newly_off(option, present) or further_off(option, present):
        return False
    told = {part.name for part in option.off}
    return name not in told and option.sheets <= present.sheets + FEW_CUTS


def newly_off(option: Option, present: Option | None) -> tuple[Part, ...]:
    """Return who is off at a white, and is not at the present one."""
    now = set() if present is None else {part.name for part in present.off}
    return tuple(part for part in option.off if part.name not in now)


def further_off(option: Option, present: Option | None) -> tuple[Part, ...]:
    """Return who is off at the present white too, but plainly further off at another one."""
    now = {} if present is None else {part.name: part.stack.miss.steps for part in present.off}
    off = (part for part in option.off if part.name in now)
    return tuple(part for part in off if part.stack.miss.steps > now[part.name] + FURTHER)


def fewer_off(option: Option, present: Option) -> int:
    """Return how many sources fewer are left off, those that come off then taken away."""
    there = {part.name for part in option.off}
    came_in = sum(part.name not in there for part in present.off)
    return came_in - len(newly_off(option, present))


def all_nearer(option: Option, present: Option) -> bool:
    """Whether no source comes further off at a white, so that what it gains is nearness alone."""
    now = {part.name: part.stack.miss.steps for part in present.parts}
    each = ((part.stack.miss.steps, now.get(part.name)) for part in option.parts)
    return not newly_off(option, present) and all(was is None or then <= was + _SAME for then, was in each)


def gained_light(option: Option, present: Option) -> float:
    """Return how much more light a white leaves at the subject [stop]; 0 where that was not metered."""
    if option.at_subject is None or present.at_subject is None:
        return 0.0
    return present.at_subject - option.at_subject


@dataclass(frozen=True, eq=False)
class Whites:
    """The answer: the present white, and at most three distinct ones.

    The best comes first. Where no tint was asked for, those that ask the camera for one come last.

    `costs` (n,) [step] is what each white of the `grid` costs in all; infinite where a source's aim leads
    from there to no white. `gone_through` is how many gels the grid tried, None if all. `left_out` are the
    sources of which nothing can be said. `unweighed` are those out of reach at every white shown: if one of
    them had a say, it would drag all others along and still be off. `problems` say why there is no `present`.
    `no_pull` are those that have no say because nothing may hang on them, or another bulb is the answer.
    `tints` says that a tint was asked for.
    """

    present: Option | None
    best: tuple[Option, ...]
    grid: Grid
    costs: Array
    gone_through: int | None = None
    left_out: tuple[str, ...] = ()
    problems: tuple[Problem, ...] = ()
    unweighed: tuple[str, ...] = ()
    no_pull: tuple[str, ...] = ()
    tints: bool = False

    @property
    def offered(self) -> tuple[Option, ...]:
        """The whites that cost less in all than the present one, the advised one first.

        With them is one that brings in a source without gel. Who stays loses nothing by not seeing the
        others. Where the present one cannot be compared, all are.
        """
        first = self.advised
        return tuple(sorted(self._cheaper, key=lambda one: one is not first))

    @property
    def advised(self) -> Option | None:
        """The white to go to, without a tint unless one was asked for; None where the present one stays."""
        if self.present is None:
            return self.best[0] if self.best else None
        able = [one for one in self._cheaper if self.tints or not one.target.tint]
        return next((one for one in able if plainly_better(one, self.present)), None)

    @property
    def _cheaper(self) -> tuple[Option, ...]:
        if self.present is None:
            return self.best
        return tuple(one for one in self.best if one.value < self.present.value or one.follows)
