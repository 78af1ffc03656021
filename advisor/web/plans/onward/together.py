"""Heads that are seen together, matched to each other: said on a page, and what adopting it keeps."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from ....advice.after_hanging.check import predicted_of
from ....advice.learned.light_here import as_filed
from ....advice.next_plans.jointly import UNSEEN, JointMatch, JointTurn, match_alike, match_jointly
from ....advice.plan.plan import Plan
from ....advice.plan.questions import by_hand
from ....advice.pull_list.cutting import panels
from ....advice.wording.cautions import Caution, cautions
from ....model import Opening, Seen, Stage, Work
from ....model.gels.formats import ComesAs, Format
from ....model.sets.phrases import counted, listed
from ....store import StoredSet
from ...wording.gels import sheets
from ...wording.values import capitalize_first
from ..aside import worked_aside
from ..kept import asked_of

FEW_HEADS = 3
"""So many heads are matched within a page's time."""


@dataclass(frozen=True)
class TogetherPage:
    """The page: which heads, how the two that differ most look before and after, and what to do at each.

    `glass` has for each window what a layer takes of each roll.
    """

    heading: str
    said: str
    moves: str
    turns: tuple[tuple[str, str], ...]
    cautions: tuple[Caution, ...]
    ids: tuple[int, ...]
    glass: tuple[tuple[str, tuple[str, ...]], ...] = ()


def match_of(now: StoredSet, plan: Plan, ids: Sequence[int], *, alike: bool = False) -> JointMatch:
    """Match heads of a set, by their ids, or hang the same gels on all (`alike`).

    Raises Refused where they cannot be, NotFound for other heads, and Working where it takes longer than a
    page waits.
    """
    indices = [now.index_of(one) for one in ids]
    match = match_alike if alike else match_jointly
    asked = asked_of(now)
    if len(indices) <= FEW_HEADS and not asked.large:
        return match(plan, indices)
    said = [match.__name__, asked.number, repr(indices)]
    return worked_aside("The match", said, match, plan, indices)


def alike_page(now: StoredSet, found: JointMatch, formats: Sequence[Format]) -> TogetherPage:
    """Say which gels hang on several windows alike, how these then match, and the seams of their glass."""
    page = together_page(now, found)
    gels = sheets(found.turns[0].gels)
    before, after = found.seen
    return replace(
        page,
        heading=f"{capitalize_first(gels)} on all" if gels else "All stay bare",
        said=f"The two farthest apart: {_alike_said(before, after)}.",
        glass=_glass(now, found, formats),
    )


def _alike_said(before: Seen, after: Seen) -> str:
    if before is after:
        return f"{after}, with its own gel on each or the same on all"
    return f"{before} if each has its own gel, {after} with the same gel"


def _glass(
    now: StoredSet, found: JointMatch, formats: Sequence[Format]
) -> tuple[tuple[str, tuple[str, ...]], ...]:
    """Return for each window with a size what a layer takes of each roll: panels, and seams to tape."""
    rolls = sorted((f for f in formats if f.form is ComesAs.ROLL), key=lambda f: f.width)
    sized = [now.sources[turn.index].source for turn in found.turns if turn.gels]
    return tuple(
        (one.name, tuple(f"{roll.name}: {seams_said(one.openings, roll)}" for roll in rolls))
        for one in sized
        if one.openings
    )


def seams_said(openings: Sequence[Opening], roll: Format) -> str:
    """Say how a layer over openings is cut from a roll: “in one piece”, “6 panels, 3 seams”."""
    divided = [(panels(one, roll), one.count) for one in openings]
    seams = sum(one.seams * count for one, count in divided)
    if not seams:
        return "in one piece" if sum(one.count for one in openings) == 1 else "each in one piece"
    return f"{sum(one.count * count for one, count in divided)} panels, {counted(seams, 'seam')}"


def together_page(now: StoredSet, found: JointMatch) -> TogetherPage:
    """Say how heads match each other, and what to hang on each."""
    climbed = [now.sources[turn.index].source for turn in found.turns if turn.off or turn.on]
    heads = counted(len(climbed), "head")
    return TogetherPage(
        heading=f"{listed([turn.name for turn in found.turns])}, matched",
        said=worst_said(found),
        moves=f"{counted(found.moves, 'move')} on {heads}." if climbed else "Nobody climbs.",
        turns=tuple((turn.name, capitalize_first(_to_do(turn))) for turn in found.turns),
        cautions=tuple(cautions(climbed, now.hidden_cautions)),
        ids=tuple(now.sources[turn.index].id for turn in found.turns),
    )


def worst_said(found: JointMatch) -> str:
    """Say how the two that differ most look, planned alone and together, and whether that is any nearer."""
    before, after = found.seen
    if before is not after:
        return f"Worst two: {before} if planned alone, {after} together."
    gains = found.before - found.after >= UNSEEN
    return f"Worst two: {after}, {'nearer together than' if gains else 'together or'} alone."


def works_together(now: StoredSet, plan: Plan, found: JointMatch) -> Mapping[int, Work | None]:
    """Return the work on heads, by their ids, once they are matched: planned, in the place of what hangs."""
    return {now.sources[turn.index].id: _work(now, plan, turn) for turn in found.turns}


def _to_do(turn: JointTurn) -> str:
    said = [f"take off {sheets(turn.off)}"] if turn.off else []
    said += [f"hang {sheets(turn.on)}"] if turn.on else []
    return ", ".join(said) or (f"keep {sheets(turn.gels)}" if turn.gels else "stays bare")


def _work(now: StoredSet, plan: Plan, turn: JointTurn) -> Work:
    source = now.sources[turn.index].source
    was = source.work if source.work and source.work.hangs else None
    if was and not (turn.off or turn.on):
        return was.model_copy(update={"instead": None})
    dial, tolerance = turn.dial if source.reach else None, plan.limits.tolerance_of(source)
    entry = by_hand(plan, turn.index, turn.gels, dial)
    reading = as_filed(source, plan.heads[turn.index].source.reading)
    fresh = Work(
        stage=Stage.PLANNED,
        gels=list(turn.gels),
        dial=dial,
        predicted=predicted_of(entry, tolerance, source.stands_as_far) if entry else None,
        read_bare=reading if reading.said else None,
        steps_off=entry.miss.steps if entry else None,
    )
    return was.model_copy(update={"instead": fresh}) if was else fresh
