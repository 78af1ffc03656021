"""Tested heads as sources of a set: put there, and other heads than somebody took them for."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime

from ....advice.known_heads.ageing import PastTest, step_of
from ....advice.known_heads.on_set import KeptTest, counting_tests, readings_of, source_of
from ....advice.readings.tested import as_moved
from ....model import HeadReading, Reading, Refused, Source
from ....model.basis.base import utc_text
from ....model.sets.phrases import counted
from ....store import NotFound, StoredSet, StoredSource
from ....store.known_heads.heads import HeadStore
from ....store.known_heads.known import StoredHead, StoredTest, TakenReading
from ....store.sets.sets import SetStore
from ....store.sets.units import OtherHead
from ....store.tables.records import Change, StoredReading
from ....store.tables.writes import ReadingOfTest
from ...wording.values import when_said


def tested_source(head: StoredHead, tests: Sequence[StoredTest]) -> tuple[Source, list[ReadingOfTest]]:
    """Return a head as a source, and what was read in its tests; the last reading is the one that counts.

    `tests` are the newest first. Raises Refused where nothing was read.
    """
    in_order = sorted((t for t in tests if t.readings), key=lambda t: (t.begun_at, t.id))
    kept = [_kept(test) for test in in_order]
    source = source_of(head.head, kept, datetime.now(UTC))
    found = {id(one.reading): (one, test.id) for test in in_order for one in _taken(test)}
    # What was kept from sets comes first, and the newest test last, as its first step counts.
    taken = [
        ReadingOfTest(reading, one.taken_at, one.who, test_id)
        for known in reversed(counting_tests(kept))
        for reading, read in zip(readings_of(known), known.past.readings, strict=True)
        for one, test_id in [found[id(read)]]
    ]
    return source, taken


def readings_now(head: StoredHead, tests: Sequence[StoredTest]) -> list[HeadReading]:
    """Return what a head reads by now, the newest of each place: as a new set goes by it.

    What was kept from sets since moves its newest test. `tests` are the newest first; empty where nothing was
    read.
    """
    in_order = [t for t in reversed(tests) if t.readings]
    if not in_order:
        return []
    counting = counting_tests([_kept(test) for test in in_order])
    if len(counting) == 1:
        newest = in_order[-1]
        return [newest.readings[k].reading for k in sorted(newest.readings)]
    source = as_moved(tested_source(head, tests)[0])
    read = sorted([*source.readings, source.reading], key=lambda r: r.tested_at or "")
    found = {step_of(r): r for r in read}
    return [HeadReading.model_construct(**dict(reading)) for reading in found.values()]


@dataclass(frozen=True)
class NewerTest:
    """The head of a source whose tests read otherwise than the source goes by, and `words` for that."""

    head: StoredHead
    words: str


def newer_tests(owner: StoredSet, sets: SetStore, heads: HeadStore) -> list[tuple[StoredSource, NewerTest]]:
    """Return the sources of a set whose heads read otherwise by their tests than they go by, with that."""
    since = set(heads.tested_since(owner.id))
    each = (
        (one, _newer(owner, one, sets.readings_of(one.id), sets, heads))
        for one in owner.sources
        if one.id in since
    )
    return [(one, newer) for one, newer in each if newer]


def newer_test(
    owner: StoredSet, now: StoredSource, readings: Sequence[StoredReading], sets: SetStore, heads: HeadStore
) -> NewerTest | None:
    """Return what the tests of a source's head say otherwise by now; None where the source goes by them.

    `readings` are all of the source. One that was mended on the set stays so.
    """
    if now.source.test is None or now.id not in heads.tested_since(owner.id):
        return None
    return _newer(owner, now, readings, sets, heads)


def _newer(
    owner: StoredSet, now: StoredSource, readings: Sequence[StoredReading], sets: SetStore, heads: HeadStore
) -> NewerTest | None:
    """Return the same of a source whose head was tested, or had a test changed, since it came on the set."""
    head_id = _head_id(now, heads)
    tests = [test for test in heads.tests_of(head_id) if test.readings] if head_id is not None else []
    own = [test for test in tests if not test.test.on_set]
    if head_id is None or not own:
        return None
    head, newest = heads.get_head(head_id), max(own, key=lambda test: test.begun_at)
    gone = {number for change in sets.history(owner.id) if change.unit for number in change.unit.gone}
    known = [one for one in readings if one.tested and not (one.struck and one.id in gone)]
    had = {_as_read(one.reading) for one in known}
    fresh = {_as_read(one.reading) for one in tested_source(head, own)[1]}
    still = {_as_read(one) for test in own for one in readings_of(_kept(test))}
    ids = {test.id for test in own}
    if fresh <= had and all(_as_read(k.reading) in still for k in known if k.counts and k.test_id in ids):
        return None
    at, begun = (
        utc_text(datetime.fromisoformat(newest.begun_at)),
        max(k.reading.tested_at or "" for k in known),
    )
    if at > begun:
        return NewerTest(head, f"{head.head.name} was tested again: {when_said(newest.begun_at)}.")
    return NewerTest(head, f"The test of {head.head.name} was corrected.")


def _as_read(reading: Reading) -> str:
    """Return what a reading says, wherever its source stood."""
    return reading.model_dump_json(exclude={"as_far", "lux_as_far"}, exclude_defaults=True)


@dataclass(frozen=True)
class HeadChoice:
    """A tested head that a source may be; `beside` is the source of the set that it is taken for now."""

    head: StoredHead
    beside: StoredSource | None

    @property
    def words(self) -> str:
        """What a list of them says: “Spot 5, on this set as No. 4”."""
        name = self.head.head.name
        return f"{name}, on this set as No. {self.beside.number}" if self.beside else name

    @property
    def answer(self) -> str:
        """What a button says: “It is Spot 5: exchange both”."""
        return f"It is {self.head.head.name}{': exchange both' if self.beside else ''}"


def head_choices(owner: StoredSet, now: StoredSource, heads: HeadStore) -> list[HeadChoice]:
    """Return the tested heads that a source of a set may be instead, those of its kind first.

    One that is on the set exchanges with it; so it is none of a source that goes by no test.
    """
    own = _head_id(now, heads)
    beside = {_head_id(one, heads): one for one in owner.sources if one.source.test and one.id != now.id}
    found = [
        HeadChoice(line.stored, beside.get(line.stored.id))
        for line in heads.list_heads()
        if line.readings and line.stored.id != own
    ]
    able = [one for one in found if own is not None or one.beside is None]
    return sorted(able, key=lambda one: one.head.head.kind is not now.source.kind)


def as_other_head(
    owner: StoredSet, now: StoredSource, head_id: int, heads: HeadStore
) -> dict[int, OtherHead]:
    """Return what a source becomes that is another head, and the source that was taken for that one, if any.

    The head that it is already may have other tests by now: then it goes by those. Raises Refused for a head
    that it cannot be.
    """
    if head_id == _head_id(now, heads) and now.id in heads.tested_since(owner.id):
        head = heads.get_head(head_id)
        # What was kept from this set is among what was read here.
        tests = [test for test in heads.tests_of(head_id) if test.test.on_set != owner.name]
        return {now.id: OtherHead(*tested_source(head, tests))}
    choice = next((one for one in head_choices(owner, now, heads) if one.head.id == head_id), None)
    if choice is None:
        raise Refused.one("head", "this is no other head that was tested", "a tested head of the list")
    fresh = {now.id: _as_head(choice.head, heads)}
    if choice.beside:
        own = _head_id(now, heads)
        assert own is not None, "else the other one was no choice"
        fresh[choice.beside.id] = _as_head(heads.get_head(own), heads)
    return fresh


def other_head_said(change: Change, owner: StoredSet, now: StoredSource) -> str:
    """Say what a change did that said which head a source is, as long as it is that."""
    was = ((change.before or {}).get("details", {}).get("test") or {}).get("head")
    if now.source.test is None or change.unit is None or change.undoes is not None:
        return ""
    here = f"No. {now.number} is {now.source.test.head}"
    if was == now.source.test.head and not change.unit.others:
        return f"No. {now.number} goes by the tests of {was} as they are now."
    stay = "Gels and readings stay where they are."
    others = [s for s in owner.sources if s.id in change.unit.others and s.source.test]
    for other in others:
        assert other.source.test is not None, "it has one"
        there = f"No. {other.number} is {other.source.test.head}"
        return f"Exchanged: {here}, {there}. Each goes by its own test. {stay}"
    return f"{here}{f', not {was}' if was else ''}. It goes by the test of that. {stay}"


def kept_elsewhere(change: Change, now: StoredSource, heads: HeadStore) -> tuple[StoredHead, str] | None:
    """Return the head to which readings of a source are kept that was none of it, and how many, in words."""
    was = ((change.before or {}).get("details", {}).get("test") or {}).get("head", "")
    line = next((one.stored for one in heads.list_heads() if one.stored.head.name == was), None)
    count = heads.kept_of(line.id, now.id) if line else 0
    return (line, f"{counted(count, 'reading')} of it kept to {was}") if line and count else None


def _as_head(head: StoredHead, heads: HeadStore) -> OtherHead:
    return OtherHead(*tested_source(head, heads.tests_of(head.id)))


def _head_id(source: StoredSource, heads: HeadStore) -> int | None:
    """Return the head by whose test a source goes; None without one, or where it was removed."""
    if source.source.test is None:
        return None
    try:
        head = heads.head_of_source(source.id, source.source.test.head)
    except NotFound:
        return None
    return head.id if head else None


def _kept(test: StoredTest) -> KeptTest:
    readings = [taken.reading for taken in _taken(test)]
    return KeptTest(
        test.test, PastTest(datetime.fromisoformat(test.begun_at), readings, test.test.minutes_on)
    )


def _taken(test: StoredTest) -> list[TakenReading]:
    # The first step, full and mostly bare, comes last, since the last one counts.
    return [test.readings[k] for k in sorted(test.readings, reverse=True)]
