"""What the lights on the subject make together: how far off that is, and what spoils it."""

from collections.abc import Sequence
from dataclasses import dataclass

from ....advice.overview import ratios
from ....advice.overview.mix import Mix, left_out, mix
from ....advice.plan.plan import Plan
from ....advice.wording.words import is_seen, seen
from ....model import Role, Seen
from ....store import StoredSet
from ...wording.short import short
from ...wording.values import capitalize_first, duv, kelvin, steps


@dataclass(frozen=True)
class MixPatch:
    """A patch of the mix, or of the target, as an ``#rrggbb``; `role` is lamp, result or target."""

    role: str
    light: str
    words: str


@dataclass(frozen=True)
class MixLine:
    """The mix bare, or behind the gels: `parts` stay whole, `words` and `spoiled` follow them.

    `numbers` says in steps what the words say; empty where there is no target.
    """

    name: str
    parts: tuple[str, ...]
    words: str
    spoiled: str
    numbers: str


@dataclass(frozen=True)
class MixView:
    """The mix: its patches, none where there is no target; a line bare and one behind the gels."""

    patches: tuple[MixPatch, ...]
    lines: tuple[MixLine, ...]
    only: str
    left_out: str


def mixes_of(now: StoredSet, plan: Plan) -> list[Mix]:
    """Return the mix bare, and behind the gels where anything is planned; none where nothing can be mixed."""
    stages = (mix(plan, gelled=gelled, tolerance=now.limits.tolerance_steps) for gelled in (False, True))
    return [found for found in stages if found]


def mix_view(now: StoredSet, plan: Plan, mixes: Sequence[Mix], names: Sequence[str]) -> MixView | None:
    """Return what the `mixes` of a plan make, each with the name of its stage; None where there is none."""
    if not mixes:
        return None
    parts, tolerance = mixes[-1].parts, now.limits.tolerance_steps
    names = names[-len(mixes) :]  # light that was read behind gels alone is in no mix bare
    return MixView(
        patches=_patches(mixes, bare=not ratios.planned(plan)),
        lines=tuple(_line(one, name, plan, tolerance) for one, name in zip(mixes, names, strict=True)),
        only=f"Only {plan.heads[parts[0]].source.name} is in it." if len(parts) == 1 else "",
        left_out=_left_out(plan),
    )


def heading_of(plan: Plan, subject: ratios.Sum, mixes: Sequence[Mix]) -> str:
    """Answer in a sentence: what the eye makes of the mix, and which source spoils it most.

    In words, since the f-number below it goes by stops, and steps sound alike.
    """
    if not plan.heads:
        return "No source, so no light yet"
    if not subject.names:
        return "No source falls on the subject"
    if not mixes:
        return "No source on the subject has a lux reading" if subject.lux is None else "No white to mix"
    got, later = mixes[-1], ratios.planned(plan) and not ratios.settled(plan)
    if got.steps is None:
        white = f"The mix reads {kelvin(got.cct)}, Duv {duv(got.duv)}"
        return white if got.cct else "The mix is too far from white to have a CCT"
    said = is_seen(seen(got.steps, plan.limits.tolerance_steps), later=later)
    said = said.replace(Seen.OBVIOUS, "obviously off")  # “the mix is obvious” says nothing
    return f"The mix {said}{f', thrown off most by {got.spoiler.name}' if got.spoiler else ''}"


def _patches(mixed: Sequence[Mix], *, bare: bool) -> tuple[MixPatch, ...]:
    lights = [one.light for one in mixed if one.light]
    target = mixed[-1].target
    if not lights or target is None:
        return ()
    result = MixPatch("result", lights[-1], "bare" if bare else "behind the gels")
    found = [result, MixPatch("target", target, "target")]
    return (MixPatch("lamp", lights[0], "bare"), *found) if len(lights) > 1 else tuple(found)


def _line(one: Mix, name: str, plan: Plan, tolerance: float) -> MixLine:
    parts = [kelvin(one.cct), f"Duv\N{NO-BREAK SPACE}{duv(one.duv)}"] if one.cct else ["no CCT"]
    return MixLine(
        capitalize_first(name), tuple(parts), short(one.words), _spoiled(one, plan, tolerance), _numbers(one)
    )


def _spoiled(one: Mix, plan: Plan, tolerance: float) -> str:
    """Say which source spoils the mix, or that none does where it is beyond the tolerance."""
    if one.spoiler:
        assert one.steps is not None, "what is spoiled is off"
        then = seen(one.spoiler.steps, tolerance)
        would = "nearer" if then is seen(one.steps, tolerance) else then
        return f"Without {one.spoiler.name} it would {'match' if then is Seen.MATCHES else f'be {would}'}."
    if one.steps is None or len(one.parts) < 2 or one.steps <= tolerance:
        return ""
    keyed = any(plan.heads[i].source.role is Role.KEY for i in one.parts)
    return f"Switching off any one source{' but the key' if keyed else ''} brings it no nearer."


def _numbers(one: Mix) -> str:
    if one.steps is None:
        return ""
    without = f" Without {one.spoiler.name}: {steps(one.spoiler.steps)}." if one.spoiler else ""
    return f"{steps(one.steps)} off.{without}"


def _left_out(plan: Plan) -> str:
    """Say whose light is not in the mix, and whose lux is summed all the same."""
    out = left_out(plan)
    dark = [f"{one.name} {one.why}" for one in out if not one.lit]
    lit = [f"{one.name} {one.why}" for one in out if one.lit]
    said = [f"Not in the mix: {', '.join(dark)}."] if dark else []
    return " ".join(said + ([f"Light counted, colour left out: {', '.join(lit)}."] if lit else []))
