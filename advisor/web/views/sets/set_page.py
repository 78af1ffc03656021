"""The page of a set: what to do about every source, and how it is."""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from ....advice.learned.off_label import OffLabel
from ....advice.pictures.light_path import LightPath
from ....advice.plan.head import PlannedSource
from ....advice.plan.needs import Needs, needs_of_each
from ....advice.plan.plan import Plan
from ....advice.plan.questions import gels_off_label
from ....model import Seen
from ....store import StoredSet, StoredSource
from ...plans.kept import PlanInputs
from ...plans.onward.drifting import Reminder, reminders_of
from ...plans.onward.lamps import lamps_line
from ...plans.onward.worst_pair import worst_pair_said
from ...plans.since import Since
from ...plans.sky import read_ago_each
from ...wording.board import METER_BARE, STATE_SAID, brief_each, counted_said
from ...wording.gels import off_label
from ...wording.short import off_as
from ...wording.stacks import head_outlook_each, over_light_each
from ...wording.tested import tested_briefly
from ...wording.values import capitalize_first, gel, gels, steps, white_said
from .head_entry import Good, HeadEntry, at_wrap
from .head_groups import HeadGroup, anchor_of, groups_of


@dataclass(frozen=True)
class PlaneRow:
    """The shift plane in words: where a source stands, and where its stack brings it."""

    number: int
    name: str
    stands: str
    stack: str


@dataclass(frozen=True)
class GelOffLabel:
    """Gels that do not do what their labels say: `names` are theirs, and in words for a button."""

    names: tuple[tuple[str, str], ...]
    words: str


@dataclass(frozen=True)
class CountLink:
    """A count of the headline: how many heads need what, and where the first of them stands on the page."""

    words: str
    anchor: str


@dataclass(frozen=True)
class SetPage:
    """A set's rows, what they need in counts, its plane in words, and the gels that are off their labels.

    `reminders` are the sources to meter because they drift, the soonest first. `lamps` says for which to
    ask for another lamp, and `worst_pair` who match least, before and after.
    """

    counts: tuple[CountLink, ...]
    groups: tuple[HeadGroup, ...]
    plane_rows: tuple[PlaneRow, ...]
    off_labels: tuple[GelOffLabel, ...]
    tested: bool
    reminders: tuple[Reminder, ...]
    lamps: str
    worst_pair: str


def _off_label(off: OffLabel) -> GelOffLabel:
    return GelOffLabel(tuple((name, gel(name)) for name in off.names), off_label(off))


def view_of(
    now: StoredSet,
    asked: PlanInputs,
    plan: Plan,
    paths: Sequence[LightPath | None],
    since: Mapping[int, Since],
    *,
    as_plane: bool,
) -> SetPage:
    """Return the page of a set as planned for what was `asked`, with the light path of each head.

    `since` says, by the source's id, why what was decided is not what is advised. The plane is said in words
    only where it is shown large, `as_plane`.
    """
    heads = list(zip(now.sources, plan.heads, strict=True))
    needs = needs_of_each(plan.heads)
    reminders = reminders_of(now, asked)
    drifts = {one.source_id: one.note for one in reminders}
    tested = tested_briefly([stored.source for stored in now.sources], plan.by_test)
    over = over_light_each(plan.heads, plan.limits)
    notes = [
        drifts.get(stored.id, "") or lost or ago or ("" if head.check else said)
        for (stored, head), lost, ago, said in zip(
            heads, over, read_ago_each(now.sources), tested, strict=True
        )
    ]
    to_do, outlooks = brief_each(plan.heads, needs), head_outlook_each(plan.heads)
    words = zip(to_do, outlooks, notes, strict=True)
    rows = [
        _row(stored, head, need, path, since.get(stored.id), said)
        for (stored, head), need, path, said in zip(heads, needs, paths, words, strict=True)
    ]
    if now.wrapped:
        reminders = []
        rows = [
            at_wrap(row, one.source, down=one.number in now.down, metered=head.check is not None)
            for row, (one, head) in zip(rows, heads, strict=True)
        ]
    return SetPage(
        counts=_counts(needs),
        groups=groups_of(rows, [head.source.role for head in plan.heads]),
        plane_rows=tuple(_plane_row(stored, head) for stored, head in heads) if as_plane else (),
        off_labels=tuple(_off_label(one) for one in gels_off_label(plan)),
        tested=any(stored.source.test for stored in now.sources),
        reminders=tuple(reminders),
        lamps="" if now.wrapped else lamps_line(plan),
        worst_pair=worst_pair_said(plan),
    )


def _counts(needs: Sequence[Needs]) -> tuple[CountLink, ...]:
    counted = Counter(needs)
    return tuple(
        CountLink(counted_said(need, counted[need]), anchor_of(need)) for need in Needs if counted[need]
    )


def _row(
    stored: StoredSource,
    head: PlannedSource,
    need: Needs,
    path: LightPath | None,
    why: Since | None,
    words: tuple[str, tuple[Seen | None, str], str],
) -> HeadEntry:
    """Return a row; its `words` say what to do, how good that will be, and what there is to note."""
    to_do, outlook, note = words
    out = stored.source.lamp_out
    unread = bool(head.problems) and not (out or head.source.reading.said)
    return HeadEntry(
        id=stored.id,
        number=stored.number,
        name=stored.source.name,
        needs=need,
        state=STATE_SAID[need].capitalize(),
        what=METER_BARE if unread else to_do or _read(head),
        anchor="",
        why=why if need is Needs.HANDS else None,
        note="" if out else note,
        path=None if out else path,
        good=_good(outlook) if head.answered and not out else None,
        problems=() if unread or out else head.problems,
    )


def _read(head: PlannedSource) -> str:
    return f"reads {white_said(head.white.cct, head.white.duv)}" if head.white else ""


def _good(outlook: tuple[Seen | None, str]) -> Good | None:
    seen, said = outlook
    if seen is None:
        return None
    chance = said.split(", ")[1:2]
    return Good(seen, str(seen), "".join(chance))


def _plane_row(stored: StoredSource, head: PlannedSource) -> PlaneRow:
    stands = capitalize_first(off_as(head.advice.needed.words)) if head.advice else "Not known"
    return PlaneRow(stored.number, stored.source.name, stands, _stack_said(head))


def _stack_said(head: PlannedSource) -> str:
    if head.best is None:
        return "None"
    hung = ", ".join(gels(head.best.gels)) or "Bare"
    if head.check:
        return f"{hung}: {steps(head.check.left)} off, metered, {off_as(head.check.words)}"
    return f"{hung}: {steps(head.best.miss.steps)} off, {head.best.miss.words}"
