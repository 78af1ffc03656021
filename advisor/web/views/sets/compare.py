"""The DP's page: every source against a reference, and what is wanted of each."""

from collections.abc import Sequence
from dataclasses import dataclass

from ....advice.overview.ratios import all_hang, settled, then
from ....advice.overview.reference import Against, against, will_match, will_sit_off
from ....advice.plan.head import PlannedSource
from ....advice.plan.plan import Plan
from ....advice.wording.words import AS_FRACTION
from ....model import Seen, WantedOffset
from ....store import StoredSet, StoredSource
from ...forms.form import Form
from ...wording.aims import greener, nearest, warmer
from ...wording.values import capitalize_first, duv, mired
from ..choices import OfferedChoice
from ..heads import aim_said


@dataclass(frozen=True)
class Later:
    """How far a source will be off once the plan hangs on both [step], and how plainly that is seen."""

    seen: Seen
    steps: float


@dataclass(frozen=True)
class ComparedRow:
    """A source against the reference: what the eye makes of it, as it `stands` now, and `later`.

    `base` and `light` are the patches of the reference and of it. `aimed` says what is wanted of it.
    """

    id: int
    revision: int
    name: str
    seen: Seen
    words: str
    steps: float
    base: str
    light: str
    stands: str
    later: Later | None
    aimed: str
    warmer: tuple[OfferedChoice, ...]
    greener: tuple[OfferedChoice, ...]
    wrong: bool


@dataclass(frozen=True)
class Compared:
    """A set against its reference; `when` says when the light will be behind its gels."""

    heading: str
    reference: StoredSource
    why: str
    references: tuple[OfferedChoice, ...]
    when: str
    rows: tuple[ComparedRow, ...]


def view_of(
    now: StoredSet, plan: Plan, reference: int, why: str, form: Form, wrong_id: int | None
) -> Compared:
    """Return a planned set against the `reference`-th source, which is it because of `why`.

    `form` is what was typed for the source `wrong_id`, None where it is to be as it is kept.
    """
    found = against(plan, reference)
    return Compared(
        heading=_heading(found, plan, now.sources[reference].source.name),
        reference=now.sources[reference],
        why=why,
        references=tuple(
            OfferedChoice(str(stored.id), stored.source.name, i == reference)
            for i, stored in enumerate(now.sources)
        ),
        when=then(plan),
        rows=tuple(_row(one, now, plan, reference, form, wrong_id) for one in found),
    )


def _heading(found: Sequence[Against], plan: Plan, base: str) -> str:
    if not found:
        return f"Nothing to compare {base} with"
    off, when = will_sit_off(found, plan.limits.tolerance_steps), capitalize_first(then(plan))
    if not off:
        everything = "Everything" if settled(plan) else f"{when}, everything"
        return f"{everything} {'matches' if will_match(found) else 'is close to'} {base}"
    said = f"{off} of {len(found)} {'sit' if all_hang(plan) else 'will sit'} off {base}"
    return said if settled(plan) else f"{when}, {said}"


def _row(
    one: Against, now: StoredSet, plan: Plan, reference: int, form: Form, wrong_id: int | None
) -> ComparedRow:
    stored, head = now.sources[one.i], plan.heads[one.i]
    aim, typed = stored.source.aim, form if stored.id == wrong_id else None
    both_hang = head.hangs and plan.heads[reference].hangs
    later = None
    if one.seen_hung and one.hung is not None and not both_hang:
        later = Later(one.seen_hung, one.hung)
    return ComparedRow(
        id=stored.id,
        revision=stored.revision,
        name=stored.source.name,
        seen=one.seen,
        words=capitalize_first(one.words),
        steps=one.steps,
        base=one.base,
        light=one.light,
        stands=_stands(head),
        later=later,
        aimed=_aimed(aim, plan),
        warmer=_warmer(aim.mired, plan, typed),
        greener=_greener(aim.duv, plan, typed),
        wrong=typed is not None,
    )


def _stands(head: PlannedSource) -> str:
    if not head.hangs or head.best is None or not (head.best.gels or head.best.dial):
        return "Bare"
    place = "Behind the gels" if head.best.gels else "As set"
    return f"{place}, as {'read' if head.check else 'predicted'}"


def _aimed(aim: WantedOffset, plan: Plan) -> str:
    return aim_said(aim, plan.ladder) or "To match the target"


def _warmer(value: float, plan: Plan, typed: Form | None) -> tuple[OfferedChoice, ...]:
    offered = warmer(plan.ladder)
    own = typed.value("mired") if typed else ""
    said = f"{own} mired" if typed else mired(value)
    return _shift(offered, own or nearest(value, offered, AS_FRACTION[0]), said)


def _greener(value: float, plan: Plan, typed: Form | None) -> tuple[OfferedChoice, ...]:
    offered = greener(plan.ladder)
    own = typed.value("duv") if typed else ""
    said = f"Duv {own if typed else duv(value)}"
    return _shift(offered, own or nearest(value, offered, AS_FRACTION[1]), said)


def _shift(offered: Sequence[tuple[str, str]], chosen: str, said: str) -> tuple[OfferedChoice, ...]:
    """Offer the fractions that gels come in, and the shift that is chosen where it is none of them."""
    found = tuple(OfferedChoice(value, words, value == chosen) for words, value in offered)
    return found if any(one.chosen for one in found) else (*found, OfferedChoice(chosen, said, chosen=True))
