"""Two days of one shot: what drifted between them, source by source, and what the meter cannot tell.

A source drifted if its colour or its light changed by more than two readings of the meter may differ. Each
set says how far its meter may be off, nine times in ten. The squares of the two tolerances add. If it was the
same meter on both days, that is on the safe side.
"""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from math import hypot, log2

from ...colour.observer.chromaticity import steps_apart
from ...model import Accuracy, Reading, Refused, Source
from ...model.basis.base import name_key
from ...model.basis.quantities import tidy
from ...model.sets.behind import as_far_as
from ...model.sets.phrases import dial_said
from ..learned.light_here import as_metered
from ..pictures.light_path import patch
from ..plan.head import PlannedSource
from ..plan.plan import Plan
from ..readings.chromaticity import WhitePoint, measure
from ..readings.steps import meter_steps
from ..wording import words
from ..wording.ladder import Ladder

LIGHT_STOPS = 0.2
"""How far two readings of one light may differ, each by hand at about the same place. [stop] From memory."""
_SHOWN = 0.1
"""The least drift, for a set whose meter counts as exact: meters show no less. [step]"""


@dataclass(frozen=True, eq=False)
class LightChange:
    """A light then and now.

    `steps` is how far it moved, `words` which way: now beside then. `detectable_steps` is how far apart two
    readings of an unchanged light may lie [step]. `stops` is how much brighter it is now; None where either
    day has no illuminance; both lights are as metered. If its stand was moved `between` the two, `stops`
    tells of no drift. `patches` are then and now as ``#rrggbb``, to an eye that is set to then.
    """

    then: WhitePoint
    now: WhitePoint
    lux_then: float | None
    lux_now: float | None
    steps: float
    words: str
    detectable_steps: float
    stops: float | None
    between: bool
    patches: tuple[str, str]

    @property
    def colour(self) -> bool:
        """Whether the colour moved by more than the meter's tolerance."""
        return self.steps > self.detectable_steps

    @property
    def light(self) -> bool:
        """Whether the light changed by more than two readings of it may differ, where its stand stayed."""
        return self.stops is not None and not self.between and abs(self.stops) > LIGHT_STOPS

    @property
    def drifted(self) -> bool:
        """Whether it moved, in colour or in light."""
        return self.colour or self.light

    @property
    def excess(self) -> float:
        """How far it moved, in colour or in light, whichever is more, as a multiple of what can be told."""
        light = 0.0 if self.between else abs(self.stops or 0.0)
        return max(self.steps / self.detectable_steps, light / LIGHT_STOPS)


@dataclass(frozen=True)
class SourceOnBothDays:
    """A source on both days: its index in either plan, and what became of it.

    `bare` compares it bare, as it is used on each day; None if it has no white on one of them. `gelled`
    compares the newest readings behind gels; None if one day has none. If it was used differently on the two
    days, `otherwise` says how, and any change is no drift. `copied` is true if today's reading was copied
    from the day before, so nothing is known of today.
    """

    name: str
    then: int
    now: int
    bare: LightChange | None
    gelled: LightChange | None
    gels_then: tuple[str, ...]
    gels_now: tuple[str, ...]
    otherwise: str
    copied: bool

    @property
    def comparable(self) -> bool:
        """Whether the two days can be compared for what drifted."""
        return self.bare is not None and not self.otherwise and not self.copied


@dataclass(frozen=True)
class Days:
    """The sources of two days, in the order of now; `gone` and `new` name those of one day only."""

    pairs: tuple[SourceOnBothDays, ...]
    gone: tuple[str, ...]
    new: tuple[str, ...]

    @property
    def drifted(self) -> list[SourceOnBothDays]:
        """The sources that drifted as they stand bare, the one that drifted most first."""
        alike = [(p.bare, p) for p in self.pairs if p.bare and p.comparable]
        return [p for moved, p in sorted(alike, key=lambda item: -item[0].excess) if moved.drifted]

    @property
    def apart(self) -> list[SourceOnBothDays]:
        """The sources that do not match behind what hung, the worst first."""
        found = [(p.gelled, p) for p in self.pairs if p.gelled]
        return [p for moved, p in sorted(found, key=lambda item: -item[0].excess) if moved.drifted]


def compare_days(
    then: Plan, now: Plan, trust_then: Accuracy, trust_now: Accuracy, copied: Collection[str] = ()
) -> Days:
    """Pair the sources of two plans by name, without regard to case, and compare them.

    Each day's meter is as accurate as its set says. (A plan knows that only if it has a target.) `copied`
    names the sources whose reading of today was copied from the day before.
    """
    trust = trust_then, trust_now
    earlier = {name_key(head.source.name): i for i, head in enumerate(then.heads)}
    later = {name_key(head.source.name): i for i, head in enumerate(now.heads)}
    return Days(
        pairs=tuple(
            _pair(then, now, earlier[key], i, trust, copied) for key, i in later.items() if key in earlier
        ),
        gone=tuple(then.heads[i].source.name for key, i in earlier.items() if key not in later),
        new=tuple(now.heads[i].source.name for key, i in later.items() if key not in earlier),
    )


def behind_gels(source: Source, came_along: Sequence[Reading] = ()) -> Reading | None:
    """Return the newest reading of a source that was taken behind gels; None where there is none.

    What `came_along` from the day before was not read today, but for what was read behind what hangs.
    """
    hangs = source.work.read_behind if source.work else None
    behind = (r for r in reversed(source.readings) if r.gels)
    return next((r for r in behind if r == hangs or r not in came_along), None)


def _pair(
    then: Plan, now: Plan, i: int, j: int, trust: tuple[Accuracy, Accuracy], copied: Collection[str]
) -> SourceOnBothDays:
    before, after = then.heads[i], now.heads[j]
    known = before.white is not None and after.white is not None
    hung_then, hung_now = behind_gels(before.source), behind_gels(after.source, before.source.readings)
    return SourceOnBothDays(
        name=after.source.name,
        then=i,
        now=j,
        bare=_moved(before.source.reading, after.source.reading, *trust, now.ladder) if known else None,
        gelled=_moved(hung_then, hung_now, *trust, now.ladder) if hung_then and hung_now else None,
        gels_then=tuple(hung_then.gels) if hung_then else (),
        gels_now=tuple(hung_now.gels) if hung_now else (),
        otherwise=_otherwise(before, after),
        copied=after.source.name in copied,
    )


def _moved(
    then: Reading, now: Reading, trust_then: Accuracy, trust_now: Accuracy, ladder: Ladder
) -> LightChange | None:
    try:
        was, is_now = measure(then), measure(now)
    except Refused:
        return None
    then, now = as_metered(then), as_metered(now)
    steps = float(steps_apart(was.uv, is_now.uv))
    detectable_steps = max(hypot(meter_steps(was, trust_then), meter_steps(is_now, trust_now)), _SHOWN)
    return LightChange(
        then=was,
        now=is_now,
        lux_then=then.lux,
        lux_now=now.lux,
        steps=steps,
        words=words.beside(*was.shift_to(is_now), ladder, visible=steps > detectable_steps),
        detectable_steps=detectable_steps,
        stops=log2(now.lux / then.lux) if then.lux and now.lux else None,
        between=not as_far_as(then.as_far, now.as_far),
        patches=(patch(was.uv, was.uv), patch(is_now.uv, was.uv)),
    )


def _otherwise(before: PlannedSource, after: PlannedSource) -> str:
    parts = []
    was, is_now = before.source.reading, after.source.reading
    if was.level != is_now.level and was.level is not None and is_now.level is not None:
        parts.append(f"at {tidy(was.level)} % then, at {tidy(is_now.level)} % now")
    if name_key(was.modifier) != name_key(is_now.modifier):
        parts.append(f"{was.modifier or 'no modifier'} then, {is_now.modifier or 'no modifier'} now")
    if was.dial != is_now.dial and was.dial is not None and is_now.dial is not None:
        parts.append(f"dials at {dial_said(was.dial)} then, at {dial_said(is_now.dial)} now")
    return " · ".join(parts)
