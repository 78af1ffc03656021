"""Sets for programs: listed, told with their plan, and metered."""

from collections import Counter
from datetime import UTC, datetime

from flask.typing import ResponseReturnValue

from ...advice.answer.reached import is_reached
from ...advice.plan.head import PlannedSource
from ...advice.plan.needs import needs_of_each
from ...advice.stacks.gel_arrays import revision_of
from ...imports.gels.asked_names import NamesInTable
from ...model import Reading, Refused
from ...model.told import ListedSet, SentReading, SetList, ToldSet, ToldSource
from ...store import Conflict, StoredSet, StoredSource
from ...store.file.faults import NotFound
from ..access.sessions import person
from ..plans.behind import at_dials, set_on_dials, works_found
from ..plans.kept import plan_for
from ..plans.new_reading import moved_before
from ..state import gels_in_force, state
from ..wording.board import tally
from ..wording.work import doing
from .calls import answer, asked, blueprint


@blueprint.get("/sets")
def get_sets() -> ResponseReturnValue:
    """List the sets."""
    sets = state().sets.list_sets()
    return answer(
        SetList(
            sets=[
                ListedSet(id=one.id, name=one.name, sources=one.sources, changed_at=one.changed_at)
                for one in sets
            ]
        )
    )


@blueprint.get("/sets/<int:set_id>")
def get_set(set_id: int) -> ResponseReturnValue:
    """Tell a set with its plan."""
    return answer(told_set(_present(set_id)))


@blueprint.post("/sets/<int:set_id>/sources/<int:number>/readings")
def post_reading(set_id: int, number: int) -> ResponseReturnValue:
    """Add a reading to a source, by its number in the set."""
    sent = asked(SentReading)
    taken = NamesInTable(gels_in_force()).of_reading(Reading.model_construct(**dict(sent)))
    while True:
        now = _source(_present(set_id), number)
        try:
            if _add(now, taken):
                break
        except Conflict:  # what hangs changed between the lines: look again what it was read behind
            continue
    return answer(told_set(_present(set_id)))


def told_set(now: StoredSet) -> ToldSet:
    """Return a set with its plan, as it is told."""
    plan = plan_for(now)
    return ToldSet(
        id=now.id,
        name=now.name,
        changed_at=now.changed_at,
        note=now.note,
        target=now.target,
        limits=now.limits,
        revision=now.revision,
        gel_table=revision_of(gels_in_force()),
        words=tally(needs_of_each(plan.heads)),
        sources=[_told(one, head) for one, head in zip(now.sources, plan.heads, strict=True)],
    )


def _told(now: StoredSource, head: PlannedSource) -> ToldSource:
    work = now.source.work
    return ToldSource(
        number=now.number,
        name=now.source.name,
        kind=now.source.kind,
        reading=head.source.reading if head.source.reading.said else None,
        needed=head.advice.needed if head.advice else None,
        words=doing(head),
        stage=head.stage,
        hangs=list(work.gels) if work and work.hangs else [],
        stack=head.best,
        reached=head.advice is None or head.source.aim.leave or is_reached(head.advice),
        problems=list(head.problems),
    )


def _present(set_id: int) -> StoredSet:
    now = state().sets.get_set(set_id)
    if now.deleted:
        raise NotFound("set", set_id, deleted=True)
    return now


def _source(now: StoredSet, number: int) -> StoredSource:
    for one in now.sources:
        if one.number == number:
            return one
    raise NotFound("source", number)


def _add(now: StoredSource, taken: Reading) -> bool:
    """Keep a reading, behind what hangs or as it says; raises Refused, and Conflict as the store does.

    Returns False where its stand turned out to be moved: it is kept of where that is now, once it is asked
    again.
    """
    work = now.source.work if now.hangs else None
    known = {gel.name for gel in gels_in_force()}
    for place, name in enumerate(taken.gels):
        if name not in known:
            says = f"no gel is called {name[:60]!r}"
            raise Refused.one(f"gels[{place}]", says, "a gel of the table: see GET /api/v1/gels")
    late = _late(taken.taken_at)
    reading = taken.model_copy(update={"taken_at": None, "tested_at": None})
    behind = work if work and reading.gels and Counter(reading.gels) == Counter(work.gels) else None
    if behind:
        reading = reading.model_copy(update={"gels": behind.gels})
    elif not reading.gels and (behind := set_on_dials(now)):
        reading = at_dials(reading, now.source)
    sets = state().sets.by(person().name, late)
    if moved_before(sets, now, [reading]):
        return False
    after = works_found(now, behind, [reading]) if behind and not late else None
    sets.add_reading(now.id, reading, after, now.source.work)
    return True


def _late(taken_at: str | None) -> float:
    """Return how long ago a reading was taken [s]; raises Refused for one of the future."""
    if taken_at is None:
        return 0.0
    age = (datetime.now(UTC) - datetime.fromisoformat(taken_at)).total_seconds()
    if age < -_CLOCKS:
        says = f"{taken_at} is still to come"
        raise Refused.one("taken_at", says, "a time up to now, ISO 8601 with its zone")
    return max(0.0, age)


_CLOCKS = 60.0
"""So far two clocks may differ before a time is taken to be wrong. [s]"""
