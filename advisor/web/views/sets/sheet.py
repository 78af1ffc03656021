"""The record on paper: a row a head, with room to write where nothing was done yet."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from ....advice.learned.light_here import by_distance
from ....advice.plan.head import PlannedSource
from ....advice.plan.plan import Plan
from ....advice.wording.ladder import Ladder
from ....model import Work
from ....model.sets.phrases import counted
from ....store import StoredSet, StoredSource
from ....store.tables.records import StoredReading
from ...plans.since import Since
from ...wording.sources import stood, stood_at
from ...wording.stacks import head_outlook
from ...wording.values import breakable, capitalize_first
from ...wording.work import STAGES, hung_now, on_paper, to_change
from ..heads import Light, aim_said, doubts_said, gels_said, light_after, worth_saying


@dataclass(frozen=True)
class Behind:
    """The newest reading behind gels, by `who` at `taken_at`.

    `told` says that the row has it already; else it is `light`, or `xy`, or a spectrum where both are None.
    `others` are the gels it was read behind where other ones were decided; `gels` where none were. `at` is
    its dim level and modifier, where they were noted.
    """

    told: bool
    light: Light | None
    xy: tuple[float, float] | None
    others: str
    gels: str
    at: str
    taken_at: str
    who: str


@dataclass(frozen=True)
class Done:
    """What was done and found: `stands` says how the work stands, and `again` why it is to be read again."""

    stands: str
    again: str
    behind: Behind | None


@dataclass(frozen=True)
class SheetRow:
    """A head on the sheet; where there is nothing to `hang`, `problems` say why.

    `stand` says where its stand is to go, or went. `unread` says why no time of a reading is printed. `done`
    is None where nothing was decided or found.
    """

    number: int
    name: str
    kind: str
    reads: Light | None
    conditions: str
    unread: str
    taken_at: str
    who: str
    hang: str
    why: Since | None
    problems: str
    aim: str
    stand: str
    after: Light | None
    match: str
    lost: float
    done: Done | None


@dataclass(frozen=True)
class SetSheet:
    """A set on one page of paper; `hung` says how many heads are hung or set, and what is still to do."""

    rows: tuple[SheetRow, ...]
    hung: str


def view_of(now: StoredSet, plan: Plan, since: Mapping[int, Since]) -> SetSheet:
    """Return the sheet of a set as planned; `since` says why what was decided is not what is advised."""
    rows = [
        _row(stored, head, plan.ladder, since.get(stored.id), doubts_said(plan, i))
        for i, (stored, head) in enumerate(zip(now.sources, plan.heads, strict=True))
    ]
    if now.wrapped:
        ended = [_at_wrap(row, stored) for row, stored in zip(rows, now.sources, strict=True)]
        return SetSheet(tuple(ended), "wrapped: nothing goes up")
    return SetSheet(tuple(rows), _hung(now.sources, plan))


def _at_wrap(row: SheetRow, stored: StoredSource) -> SheetRow:
    """Return the row of a head of a wrapped set: what hung, and how it matched where that was metered."""
    work = stored.source.work
    hung = hung_now(work) if work and work.hangs else "No gel hung"
    metered = row.after if row.after and row.after.as_read else None
    match = row.match.partition(",")[0] + ", metered" if metered else ""
    done = replace(row.done, stands="Hung" if work and work.hangs else "", again="") if row.done else None
    return replace(row, hang=hung, why=None, problems="", stand="", after=metered, match=match, done=done)


def _hung(sources: Sequence[StoredSource], plan: Plan) -> str:
    done = [stored.source.work for stored in sources if stored.hangs]
    up = sum(bool(work and (work.gels or work.dial)) for work in done)
    change = sum(stored.hangs and to_change(h) != "" for stored, h in zip(sources, plan.heads, strict=True))
    parts = (
        [f"{up} of {counted(len(sources), 'head')} {'is' if up == 1 else 'are'} hung or set"] if up else []
    )
    parts += (
        [f"{len(done) - up} {'stays' if len(done) - up == 1 else 'stay'} bare on purpose"]
        if len(done) > up
        else []
    )
    stands = [stored.source.stand for stored in sources if stored.source.stand]
    move = sum(not stand.done for stand in stands)
    to_do = [f"check or change {counted(change, 'head')}"] if change else []
    to_do += [f"move {counted(move, 'stand')}"] if move else []
    left = f". To do: {', '.join(to_do)}" if to_do else ""
    return (", ".join(parts) or "nothing hangs yet") + left


def _row(
    stored: StoredSource, head: PlannedSource, ladder: Ladder, why: Since | None, doubts: str
) -> SheetRow:
    advised = head.best is not None or stored.hangs
    return SheetRow(
        number=stored.number,
        name=stored.source.name,
        kind=stored.source.kind.words,
        reads=_reads(head),
        conditions=stood(head.source.reading),
        unread=_unread(stored, head),
        taken_at=stored.taken_at,
        who=stored.who,
        hang=breakable(on_paper(head, hung=False)) if advised else "",
        why=worth_saying(head, why) if advised else None,
        problems=". ".join(capitalize_first(problem.says) for problem in head.problems),
        aim=aim_said(stored.source.aim, ladder),
        stand=capitalize_first(stood_at(stored.source)) if stored.source.stand else "",
        after=light_after(head),
        match=capitalize_first(head_outlook(head)) + doubts,
        lost=head.lost,
        done=_done(stored, head),
    )


def _reads(head: PlannedSource) -> Light | None:
    white, lux = head.white, head.source.reading.lux
    return Light(white.cct, white.duv, lux, about=by_distance(head.source)) if white else None


def _unread(stored: StoredSource, head: PlannedSource) -> str:
    if head.worked_out:
        return "not read at this level"
    return "" if stored.taken_at else "no reading counts"


def _done(stored: StoredSource, head: PlannedSource) -> Done | None:
    work, behind = stored.source.work, stored.behind
    if work is None and behind is None:
        return None
    found = _behind(behind, work, told=head.check is not None) if behind else None
    if work is None:
        return Done("", "", found)
    said = _stands(work, head)
    return Done(f"{said}, to be read again" if head.again else said, head.again, found)


def _stands(work: Work, head: PlannedSource) -> str:
    if head.hangs and to_change(head):
        return breakable(hung_now(work))
    assert head.stage is not None, "something was decided"
    return capitalize_first(STAGES[head.stage])


def _behind(behind: StoredReading, work: Work | None, *, told: bool) -> Behind:
    reading, gels = behind.reading, gels_said(behind.reading.gels)
    return Behind(
        told=told,
        light=Light(reading.cct, reading.duv, reading.lux) if reading.cct else None,
        xy=reading.xy,
        others=gels if work and sorted(work.gels) != sorted(reading.gels) else "",
        gels="" if work else gels,
        at=stood(reading.model_copy(update={"gels": []})),
        taken_at=behind.taken_at,
        who=behind.who,
    )
