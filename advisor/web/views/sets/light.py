"""The light at the subject: its f-number, key to fill, its mix, how each source stands, and the camera."""

from collections.abc import Sequence
from dataclasses import dataclass

from ....advice.learned.light_here import by_distance
from ....advice.overview import ratios
from ....advice.overview.f_number import exposure_time, f_stop, time_said
from ....advice.plan.plan import Plan
from ....model import Exposure, Role
from ....model.sets.phrases import listed
from ....store import StoredSet
from ...wording.values import breakable, capitalize_first, lux, plain
from .levels import LevelsTable, TwoSources, levels_of, two_sources
from .mix import MixView, heading_of, mix_view, mixes_of


@dataclass(frozen=True)
class Aperture:
    """An f-number as a crew says it, and the illuminance that asks for it."""

    words: str
    lux: str


@dataclass(frozen=True)
class Contrast:
    """The key-to-fill ratio, as figures and in stops."""

    text: str
    words: str


@dataclass(frozen=True)
class SummedLight:
    """What falls on the subject, and the key's part of it: a column bare, and one behind the gels.

    An f-number is None where nothing has a lux reading, a ratio where it is not known. `key_alone` and
    `key_to_fill` are empty where there is no key, or no ratio at all.
    """

    columns: tuple[str, ...]
    at_subject: tuple[Aperture | None, ...]
    key_alone: tuple[Aperture | None, ...]
    key_to_fill: tuple[Contrast | None, ...]


@dataclass(frozen=True)
class Unread:
    """A source that has no lux."""

    id: int
    name: str


@dataclass(frozen=True)
class OwnLimit:
    """A source that may stand only so far over the key, and where it stands: `broken` says that is beyond."""

    broken: str
    words: str


@dataclass(frozen=True)
class LightPage:
    """The light of a set.

    `f_number` is empty where nothing on the subject has a lux reading; `bare` sets it beside the bare one,
    and `exposed` says for which camera. `moved` names what was metered before it was moved. `key_alone` is
    empty where there is no key-to-fill ratio, and `no_ratio` says why.
    `unread` are the sources that have no lux, neither bare nor behind what hangs.
    """

    heading: str
    some: bool
    f_number: str
    bare: str
    exposed: str
    moved: str
    summed: SummedLight | None
    key_alone: str
    no_ratio: str
    unread: tuple[Unread, ...]
    mix: MixView | None
    levels: LevelsTable | None
    limits: tuple[OwnLimit, ...]
    two: TwoSources | None
    camera: str


@dataclass(frozen=True)
class _Stage:
    """The bare light, or the light behind the gels."""

    name: str
    subject: ratios.Sum
    key: ratios.Sum
    ratio: ratios.KeyToFill


def view_of(now: StoredSet, plan: Plan, asked: Sequence[int | None]) -> LightPage:
    """Return the light of a set as planned; `asked` are the ids of two sources whose ratio is wanted."""
    stages = [_stage(plan, "bare", gelled=False)]
    if ratios.planned(plan):
        stages.append(_stage(plan, ratios.then(plan), gelled=True))
    missing = stages[-1].ratio.missing
    last, names, mixes = stages[-1], [stage.name for stage in stages], mixes_of(now, plan)
    return LightPage(
        heading=heading_of(plan, stages[0].subject, mixes),
        some=bool(plan.heads),
        f_number="" if last.subject.lux is None else f_stop(last.subject.lux, now.exposure).words,
        bare=_bare(stages, now.exposure),
        exposed=_exposed(stages, now.exposure),
        moved=_moved(plan),
        summed=_summed(stages, now.exposure) if any(s.subject.lux or s.key.lux for s in stages) else None,
        key_alone=_key_alone(stages),
        no_ratio=f"No key-to-fill ratio: {missing}." if plan.heads and missing else "",
        unread=_unread(now, plan),
        mix=mix_view(now, plan, mixes, names),
        levels=levels_of(now, plan, names),
        limits=tuple(_limit(one) for one in ratios.over_key(plan)),
        two=two_sources(now, plan, names, asked),
        camera=_camera(now.exposure),
    )


def _stage(plan: Plan, name: str, *, gelled: bool) -> _Stage:
    return _Stage(
        name,
        ratios.at_subject(plan, gelled=gelled),
        ratios.of_role(plan, Role.KEY, gelled=gelled),
        ratios.key_to_fill(plan, gelled=gelled),
    )


def _bare(stages: Sequence[_Stage], exposure: Exposure) -> str:
    first, last = stages[0].subject.lux, stages[-1]
    if len(stages) < 2 or last.subject.lux is None:
        return ""
    if first is None:
        return f"at the subject {last.name}."
    bare = f_stop(first, exposure).words.replace(" ", "\N{NO-BREAK SPACE}")
    return f"at the subject {last.name}, {bare} bare."


def _exposed(stages: Sequence[_Stage], exposure: Exposure) -> str:
    where = "At" if len(stages) > 1 else "At the subject, bare, at"
    said = f"{where} ISO {plain(exposure.iso)} and {time_said(exposure_time(exposure))}."
    if not (missing := stages[-1].subject.missing):
        if dark := stages[0].subject.missing:
            return f"{said} Bare, without {listed(dark)}: no lux was read."
        return said
    return f"{said} At least that: {', '.join(missing)} {'has' if len(missing) == 1 else 'have'} no lux."


def _moved(plan: Plan) -> str:
    """Name the sources whose light was read before their stands were moved; empty where none was."""
    names = [head.source.name for head in plan.heads if by_distance(head.source)]
    if not names:
        return ""
    return f"Read before the move: {listed(names)}. Meter {'it' if len(names) == 1 else 'them'} there."


def _summed(stages: Sequence[_Stage], exposure: Exposure) -> SummedLight:
    key = [_aperture(stage.key.lux, exposure) for stage in stages] if stages[-1].key.names else []
    ratio = [_contrast(stage.ratio.lit) for stage in stages]
    return SummedLight(
        columns=("Bare", "Behind the gels")[: len(stages)],
        at_subject=tuple(_aperture(stage.subject.lux, exposure) for stage in stages),
        key_alone=tuple(key),
        key_to_fill=tuple(ratio) if any(ratio) else (),
    )


def _contrast(lit: ratios.Ratio | None) -> Contrast | None:
    return Contrast(lit.text, breakable(lit.words)) if lit else None


def _aperture(illuminance: float | None, exposure: Exposure) -> Aperture | None:
    if illuminance is None:
        return None
    return Aperture(breakable(f_stop(illuminance, exposure).words), breakable(lux(illuminance)))


def _key_alone(stages: Sequence[_Stage]) -> str:
    """Say how the key by itself stands to the fill, bare and behind the gels."""
    known = [(stage.name, stage.ratio.alone) for stage in stages if stage.ratio.alone]
    parts = [
        f"{alone.words} {'it' if k else 'the fill'} {name} ({alone.text})"
        for k, (name, alone) in enumerate(known)
    ]
    return f"The key alone: {'. '.join(parts)}." if parts else ""


def _unread(now: StoredSet, plan: Plan) -> tuple[Unread, ...]:
    gelled = ratios.planned(plan)
    return tuple(
        Unread(stored.id, stored.source.name)
        for i, stored in enumerate(now.sources)
        if not stored.source.lamp_out and ratios.lux_of(plan, i, gelled=gelled) is None
    )


def _limit(one: ratios.OverKey) -> OwnLimit:
    if one.keeps is False:
        return OwnLimit(f"{one.name}: over its limit.", f"{capitalize_first(one.words)}.")
    return OwnLimit("", f"{one.name}: {one.words}.")


def _camera(exposure: Exposure) -> str:
    return (
        f"ISO {plain(exposure.iso)}, {plain(exposure.frame_rate)} fps, "
        f"{time_said(exposure_time(exposure))}, C {plain(exposure.constant)}"
    )
