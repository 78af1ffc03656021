"""The DP's page: every source against a reference, and what is wanted of each."""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from ....advice.overview.pairs import Pair, hopeless, worst_pair
from ....advice.overview.ratios import planned, then
from ....advice.overview.reference import Against, against, whites_of_heads
from ....advice.pictures.light_path import patch
from ....advice.plan.head import PlannedSource
from ....advice.plan.light import swapped_to
from ....advice.plan.plan import Plan
from ....advice.wording.glyphs import beside_in_glyphs
from ....advice.wording.outlook import NEAR
from ....model import Kind, Role, Seen, Source, WantedOffset
from ....model.sets.phrases import listed
from ....store import StoredSet, StoredSource
from ...forms.form import Form
from ...plans.onward.worst_pair import apart_said, pair_in_steps, worst_pair_said
from ..choices import OfferedChoice, greener_choices, warmer_choices
from ..heads import aim_said


class WhichLight(StrEnum):
    """Which light is compared: as it is now, or as it will be once the plan hangs."""

    NOW = "now"
    GELS = "gels"


@dataclass(frozen=True)
class ComparedRow:
    """A source against the reference: what the eye makes of it, and what it stands behind.

    `base` and `light` are the patches of the reference and of it. `aimed` says what is wanted of it. The
    `reference` itself is a row too: there `words` say why it is it, and `seen` is None.
    """

    id: int
    revision: int
    number: int
    name: str
    reference: bool
    seen: Seen | None
    words: str
    steps: float
    base: str
    light: str
    stands: str
    aimed: str
    warmer: tuple[OfferedChoice, ...]
    greener: tuple[OfferedChoice, ...]
    wrong: bool


@dataclass(frozen=True)
class ComparedGroup:
    """Rows that stand together, the reference first, then the plainest; `said` is their heading."""

    key: str
    said: str
    rows: tuple[ComparedRow, ...]


@dataclass(frozen=True)
class Compared:
    """A set against its reference, in one `light`: the pair that matches least, and the rows.

    `pair` says how those two are off, and `before_after` who match least before and after. `apart` names
    those that gel cannot bring in: they are in no pair as long as two others are. `against` says
    what all are compared with, and in which light;
    `chosen` is that reference, None where nobody chose it. Where
    `two_lights` is false, nothing is planned, so that there is only what is now. `together` are the heads
    that may be matched to each other: id, name, and whether it is a practical; `windows` those that may all
    take the same gel, none where there are fewer than two.
    """

    heading: str
    pair: str
    before_after: str
    apart: str
    against: str
    reference: StoredSource
    chosen: int | None
    light: WhichLight
    two_lights: bool
    groups: tuple[ComparedGroup, ...]
    in_steps: tuple[tuple[str, float], ...]
    together: tuple[tuple[int, str, bool], ...]
    windows: tuple[tuple[int, str], ...]

    @property
    def ids(self) -> tuple[int, ...]:
        """The sources that have a row."""
        return tuple(row.id for group in self.groups for row in group.rows)


@dataclass(frozen=True)
class _Case:
    """What the rows are made of; `typed` is a form that came back, for the source `wrong_id`."""

    now: StoredSet
    plan: Plan
    reference: int
    light: WhichLight
    typed: Form
    wrong_id: int | None

    def row(self, i: int, one: Against | None, why: str) -> ComparedRow:
        """Return the row of the `i`-th source; `one` is None for the reference, which is it by `why`."""
        stored, head = self.now.sources[i], self.plan.heads[i]
        aim, typed = stored.source.aim, self.typed if stored.id == self.wrong_id else None
        return ComparedRow(
            id=stored.id,
            revision=stored.revision,
            number=stored.number,
            name=stored.source.name,
            reference=one is None,
            seen=one.seen if one else None,
            words=_words(one, self.plan, _on_target(head, self.light)) if one else why,
            steps=one.steps if one else 0.0,
            base=one.base if one else self.base,
            light=one.light if one else self.base,
            stands=_stands(head, self.light),
            aimed=_aimed(aim, self.plan),
            warmer=warmer_choices(aim.mired, self.plan.ladder, typed),
            greener=greener_choices(aim.duv, self.plan.ladder, typed),
            wrong=typed is not None,
        )

    @property
    def base(self) -> str:
        """The patch of the reference; empty where it has no white."""
        white = whites_of_heads(self.plan, gelled=self.light is WhichLight.GELS)[self.reference]
        return patch(white.uv, white.uv) if white else ""


def view_of(
    now: StoredSet, plan: Plan, reference: tuple[int, str], light: str, form: Form, wrong_id: int | None
) -> Compared:
    """Return a planned set against the `reference`: the place of a source, and why it is that one.

    `light` is which light is asked for; with any other word it is with the gels, where anything is planned.
    `form` is what was typed for the source `wrong_id`, None where it is to be as it is kept.
    """
    at, why = reference
    two = planned(plan)
    shown = WhichLight.GELS if two and light != WhichLight.NOW else WhichLight.NOW
    found = against(plan, at, gelled=shown is WhichLight.GELS)
    pair = worst_pair(plan, gelled=shown is WhichLight.GELS)
    case = _Case(now, plan, at, shown, form, wrong_id)
    rows = [(at, case.row(at, None, f"reference, {why}" if why else "reference"))]
    rows += [(one.i, case.row(one.i, one, "")) for one in found]
    base = now.sources[at].source.name
    far = hopeless(plan)
    return Compared(
        heading=_heading(found, pair, now, base, some_apart=bool(far)),
        pair=apart_said(pair, plan),
        before_after=worst_pair_said(plan),
        apart=f"Gel can’t fix {listed([_name(now, i) for i in far])}." if far else "",
        against=f"Beside {base}, {then(plan) if shown is WhichLight.GELS else 'as it is now'}.",
        reference=now.sources[at],
        chosen=None if why else now.sources[at].id,
        light=shown,
        two_lights=two,
        groups=_groups(rows, plan, base),
        in_steps=(
            *pair_in_steps(pair, plan, at),
            *((row.name, row.steps) for _, row in rows if not row.reference),
        ),
        together=_together(now, plan),
        windows=_windows(now, plan),
    )


def _windows(now: StoredSet, plan: Plan) -> tuple[tuple[int, str], ...]:
    """Return the windows that may all take the same gel: id and name; none where there are fewer than two."""
    able = {id for id, _, _ in _together(now, plan)}
    windows = [one for one in now.sources if one.id in able and one.source.kind is Kind.DAYLIGHT]
    return tuple((one.id, one.source.name) for one in windows) if len(windows) > 1 else ()


def _together(now: StoredSet, plan: Plan) -> tuple[tuple[int, str, bool], ...]:
    """Return the heads that may be matched to each other: id, name, and whether it is a practical."""
    able = [
        (stored.id, stored.source.name, stored.source.role is Role.PRACTICAL)
        for stored, head in zip(now.sources, plan.heads, strict=True)
        if head.best is not None and head.source.aim.plain
    ]
    return tuple(able) if len(able) > 1 else ()


def _heading(
    found: Sequence[Against], pair: Pair | None, now: StoredSet, base: str, *, some_apart: bool
) -> str:
    if not found:
        return f"Nothing to compare {base} with"
    if pair is None:
        return "All the rest is off on purpose"
    if pair.match:
        all_of_them = "All the rest" if some_apart else "Everything"
        return f"{all_of_them} {'matches' if pair.seen is Seen.MATCHES else 'is close'}"
    return f"{_name(now, pair.first)} and {_name(now, pair.second)} don’t match"


def _name(now: StoredSet, i: int) -> str:
    return now.sources[i].source.name


def _groups(rows: Sequence[tuple[int, ComparedRow]], plan: Plan, base: str) -> tuple[ComparedGroup, ...]:
    """Put practicals first, then the rest, and apart what is off on purpose, which is not counted."""
    sources = [head.source for head in plan.heads]
    purpose = [row for i, row in rows if not (sources[i].aim.plain or sources[i].lamp_out)]
    out = [row for i, row in rows if sources[i].lamp_out]
    plain = [(sources[i].role is Role.PRACTICAL, row) for i, row in rows if sources[i].aim.plain]
    practicals, others = ([row for is_one, row in plain if is_one is wanted] for wanted in (True, False))
    return (
        ComparedGroup(
            "practicals", f"Practicals{_showing(practicals, base)}" if practicals else "", tuple(practicals)
        ),
        ComparedGroup(
            "others",
            f"{'Others' if practicals else 'Sources'}{_showing(others, base)}" if others else "",
            tuple(others),
        ),
        ComparedGroup("purpose", "Off on purpose, not counted" if purpose else "", tuple(purpose)),
        ComparedGroup("out", f"{_gone(sources)}, not counted" if out else "", tuple(out)),
    )


def _gone(sources: Sequence[Source]) -> str:
    """Say what those that are out have lost: daylight has no lamp."""
    skies = {source.kind is Kind.DAYLIGHT for source in sources if source.lamp_out}
    return "Lamp out" if skies == {False} else "Light gone" if skies == {True} else "Lamp out or light gone"


def _showing(rows: Sequence[ComparedRow], base: str) -> str:
    """Count those that an eye tells from the reference, to end a heading: “: 4 off beside Key”."""
    count = sum(row.seen in (Seen.SHOWS, Seen.OBVIOUS) for row in rows)
    return f": {count} off beside {base}" if count else ""


def _words(one: Against, plan: Plan, on_target: str) -> str:
    """Say how plainly it is off, then which way: a touch of one colour may show more than ⅛ of another.

    What is off the reference, and near the target, says so: the set counts that one as done.
    """
    if one.seen is Seen.MATCHES:
        return str(one.seen)
    said = f"{one.seen}: {beside_in_glyphs(one.mired, one.duv, plan.ladder)}"
    return said if one.seen in NEAR or not on_target else f"{said}. {on_target}"


def _on_target(head: PlannedSource, light: WhichLight) -> str:
    """Say that a head comes near what is wanted, in the light that is compared; empty where it does not."""
    best = head.best
    as_planned = light is WhichLight.GELS or head.hangs or not (best and (best.gels or best.dial))
    swapped = swapped_to(head) if light is WhichLight.GELS else None
    seen = swapped.miss.seen if swapped else head.seen
    if not as_planned or seen not in NEAR or not head.source.aim.plain:
        return ""
    return "Matches the target" if seen is Seen.MATCHES else "Close to the target"


def _stands(head: PlannedSource, light: WhichLight) -> str:
    if light is WhichLight.GELS and (swapped := swapped_to(head)):
        return "After the swap, predicted" if swapped.gels or swapped.dial else "Bare after the swap"
    behind = head.hangs or light is WhichLight.GELS
    if not behind or head.best is None or not (head.best.gels or head.best.dial):
        return "Bare"
    place = "Behind the gels" if head.best.gels else "As set"
    return f"{place}, {'metered' if head.check else 'predicted'}"


def _aimed(aim: WantedOffset, plan: Plan) -> str:
    return aim_said(aim, plan.ladder) or "To match the target"
