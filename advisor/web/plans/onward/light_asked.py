"""Light that is asked for, on a page: what each source does for it, and what comes of it."""

from collections.abc import Mapping
from dataclasses import dataclass

from ....advice.learned.light_here import lit_here
from ....advice.light_aims.answer import FEW_TRIED, refuse_too_much
from ....advice.light_aims.solve import LightSolution, SolvedSource, solve_light
from ....advice.light_aims.wanted import LightAims, WantedLight, key_wanted
from ....advice.light_aims.ways import LightMove, LightWay
from ....advice.overview.ratios import Ratio
from ....advice.plan.plan import Plan
from ....advice.readings.dim_levels import in_use
from ....advice.wording.cautions import Caution, cautions
from ....model import Role, Source
from ....model.sets.behind import changed
from ....model.sets.phrases import dial_said, listed, percent
from ....store import StoredSet
from ...views.heads import Quality, stack_quality
from ...wording.gels import sheets
from ...wording.sources import moved_lux
from ...wording.values import capitalize_first, extent, where_to
from ..aside import worked_aside
from ..kept import asked_of
from .light_planned import stand_of
from .light_said import (
    beyond_said,
    off_said,
    over_key_said,
    ratio_said,
    than_now_said,
    told_light,
    undimmed_said,
    wanted_said,
    wanted_than_now,
)

ASKED = ("f_number", "key_to_fill", "contrast")
"""What is asked of a set, by the names of the fields."""
_OF_EACH = ("over_key_", "than_now_")
"""How the fields of what is asked of one source begin; its number follows."""


@dataclass(frozen=True)
class WayChoice:
    """One way as a page offers it: its `mark` in a form, what to do, and how light and colour then are."""

    mark: str
    words: str
    light: str
    good: Quality
    on: bool


@dataclass(frozen=True)
class AskedOfSource:
    """A source: what it is to give, and the ways to that, the first of which is chosen; else why none is.

    `undimmed` says why what is asked is missed, and what keeps its dimmer from being among the ways. `moved`
    says that its light was read before its stand was moved.
    """

    id: int
    name: str
    wanted: str
    moved: str
    undimmed: str
    first: WayChoice | None
    others: tuple[WayChoice, ...]
    why: str


@dataclass(frozen=True)
class LightAskedPage:
    """What comes of what was asked, in a heading; each source; and what keeps a part from being solved.

    `over_key` names the others that are over the key then. `keys` are who could be the key where none is: the
    source's id and its name; `fills` who could be the fill, where a ratio is asked.
    """

    heading: str
    sources: tuple[AskedOfSource, ...]
    missing: tuple[str, ...]
    over_key: str
    cautions: tuple[Caution, ...]
    keys: tuple[tuple[int, str], ...] = ()
    fills: tuple[tuple[int, str], ...] = ()

    @property
    def able(self) -> bool:
        """Whether there is anything to plan."""
        return any(one.first for one in self.sources)

    @property
    def mind(self) -> tuple[str, ...]:
        """What can hurt the hands that do it, in a line for the same heads."""
        told: dict[tuple[str, ...], list[str]] = {}
        for one in self.cautions:
            if one.at_the_head:
                told.setdefault(one.names, []).append(one.at_the_head)
        return tuple(f"{listed(list(names))}. {' '.join(words)}" for names, words in told.items())


def solution_of(now: StoredSet, plan: Plan, aims: LightAims) -> LightSolution:
    """Solve the light of a set.

    Raises Refused where too much is asked, and Working where it takes longer than a page waits.
    """
    sources = [stored.source for stored in now.sources]
    if plan.gel_arrays is None:
        return solve_light(plan, sources, aims)
    if refuse_too_much(sources, plan.limits, plan.gel_arrays, aims) <= FEW_TRIED:
        return solve_light(plan, sources, aims)
    said = ["light", asked_of(now).number, repr(aims)]
    return worked_aside("The light", said, solve_light, plan, sources, aims)


def light_asked_page(now: StoredSet, plan: Plan, aims: LightAims, found: LightSolution) -> LightAskedPage:
    """Say what each source does for the light that is asked for, and what comes of it."""
    lit = [_as_planned(now.sources[one.index].source, one.best) for one in found.sources if one.best]
    return LightAskedPage(
        heading=_heading(aims, found),
        sources=tuple(_asked_of(now, plan, one, found, aims) for one in found.sources),
        missing=found.missing,
        over_key=over_key_said(plan, found),
        cautions=tuple(cautions(lit, now.hidden_cautions)),
        keys=_could_be(Role.KEY, now),
        fills=_could_be(Role.FILL, now) if aims.key_to_fill is not None else (),
    )


def _could_be(role: Role, now: StoredSet) -> tuple[tuple[int, str], ...]:
    """Return who could have a role, where none has it: what lights the subject, and is not the key."""
    roles = [stored.source.role for stored in now.sources]
    if role in roles or (role is Role.FILL and Role.KEY not in roles):
        return ()
    able = [s for s in now.sources if s.source.lights_subject and s.source.role is not Role.KEY]
    return tuple((stored.id, stored.source.name) for stored in able)


def asked_fields(typed: Mapping[str, str]) -> dict[str, str]:
    """Return what was asked as it was typed, but for the fields left empty."""
    asks = {k: v for k, v in typed.items() if k in ASKED or k.startswith(_OF_EACH)}
    return {name: value for name, value in asks.items() if value.strip()}


def _heading(aims: LightAims, found: LightSolution) -> str:
    if not any(one.best for one in found.sources):
        return "Nothing to set" if not found.missing else "Not solved yet"
    wanted = key_wanted(aims)
    beyond = [one.name for one in found.sources if one.best and not one.best.reaches]
    short = f", {off_said(Ratio(found.key / wanted).stops)}" if wanted and found.key and beyond else ""
    lit = [ratio_said(found.lit)] if found.lit and aims.key_to_fill else []
    parts = (
        [f"{found.f_number.words}{short}{',' if short and lit else ''}"]
        if found.f_number and aims.f_number
        else []
    )
    parts += lit
    rest = f". Not reached: {listed(beyond)}" if beyond else ""
    than_now = [
        f"{one.name} {than_now_said(aims.than_now[one.index])}"
        for one in found.sources
        if one.best and one.best.reaches and one.index in aims.than_now
    ]
    if parts:
        return f"You get {' at '.join(parts)}{rest}"
    if aims.than_now:
        return f"{listed(than_now)}{rest}" if than_now else rest.removeprefix(". ")
    return f"{'Beyond a limit' if beyond else 'Within the limits'}{rest}"


def _beyond(one: SolvedSource, plan: Plan) -> str:
    if one.best is None or plan.gel_arrays is None:
        return ""
    return beyond_said(one.best, plan.heads[one.index].source, plan.limits, plan.gel_arrays)


def _asked_of(
    now: StoredSet, plan: Plan, one: SolvedSource, found: LightSolution, aims: LightAims
) -> AskedOfSource:
    stored = now.sources[one.index]
    choices = [_choice(stored.source, way, k == 0, aims, one.wanted) for k, way in enumerate(one.ways)]
    return AskedOfSource(
        id=stored.id,
        name=one.name,
        wanted=wanted_than_now(aims.than_now[one.index], one.wanted)
        if one.index in aims.than_now
        else wanted_said(stored.source.role, one.wanted, found.key, aims),
        moved=moved_lux(lit_here(stored.source)),
        undimmed=" ".join(part for part in (_beyond(one, plan), undimmed_said(stored.source)) if part)
        if choices
        else "",
        first=choices[0] if choices else None,
        others=tuple(choices[1:]),
        why=f"{one.name} {one.why}" if one.why else "",
    )


def _choice(source: Source, way: LightWay, first: bool, aims: LightAims, wanted: WantedLight) -> WayChoice:
    light = told_light(way, source, aims, wanted)
    return WayChoice(way.move.value, _to_do(source, way), light, stack_quality(way.stack), first)


def _to_do(source: Source, way: LightWay) -> str:
    """Say what to do, in one sentence: “Set the dimmer to 45 %, hang ¼ CTO”."""
    said = []
    stays = in_use(source).reading.level
    if way.level is not None:
        said.append(f"set the dimmer to {'about ' if way.about else ''}{percent(way.level)}")
    elif stays is not None:
        said.append(f"leave the dimmer at {percent(stays)}")
    if way.move is LightMove.DISTANCE:
        said.append(_moved(source, way))
    if way.stack.dial:
        said.append(f"set {dial_said(way.stack.dial)}")
    off, on = changed(source.hanging if source.hanging is not None else source.keep, way.stack.gels)
    said += [f"take off {sheets(off)}"] if off else []
    said += [f"hang {sheets(on)}"] if on else []
    return capitalize_first(", ".join(said)) or "Stays as it is"


def _moved(source: Source, way: LightWay) -> str:
    stand = stand_of(source, way)
    assert stand is not None, "it is a way by distance"
    read_at = f"from {extent(stand.distance / stand.times)} " if stand.distance else ""
    return f"move it {read_at}to {where_to(stand)}"


def _as_planned(source: Source, way: LightWay | None) -> Source:
    """Return a source with a way on it, for what can hurt people there."""
    assert way is not None, "it has a way"
    return source.model_copy(update={"keep": list(way.stack.gels)})
