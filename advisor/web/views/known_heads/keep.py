"""What was read of heads on a set and is in no test of theirs yet, as tests to keep."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple

from ....advice.known_heads.ageing import step_of
from ....advice.known_heads.which_head import reads_as
from ....advice.learned.light_here import lit_at
from ....advice.readings.off_test import Contradiction, contradicts
from ....advice.readings.tested import moved_test
from ....advice.wording.ladder import Ladder
from ....model import Accuracy, HeadReading, HeadTest, Kind, Reading, Refused
from ....model.basis.base import name_key
from ....model.sets.known_head import MOST_LEVELS
from ....model.sets.phrases import counted, percent, stood
from ....model.sets.whole import that_count
from ....store import NotFound
from ....store.known_heads.heads import HeadStore
from ....store.known_heads.kept import OnSet
from ....store.known_heads.known import HeadChange, StoredHead
from ....store.tables.records import StoredReading, StoredSource
from ...forms.form import make
from ...wording.tested import NOT_AS_TESTED, AnsweredTest, moved_said, to_check
from ...wording.values import gel
from .on_set import readings_now

_NO_HEADS = {"tested_at", "taken_at", "gels", "gels_checked", "gel_burnt", "as_far", "lux_as_far"}
"""Fields of a reading that its head does not keep."""


_NO_LAMP = (Kind.DAYLIGHT, Kind.LED_WHITE, Kind.LED_MIX)
"""Kinds of which no crew changes a lamp: common practice, no source."""


@dataclass(frozen=True)
class Doubtful:
    """A reading that contradicts the test of its head: how, in `words`, and what is asked.

    `fits` is the head whose test it fits instead, None where none does.
    """

    words: str
    asked: str
    fits: StoredHead | None


@dataclass(frozen=True)
class ToKeep:
    """A source that is a head, and what was read of it on the set that its head does not have yet.

    `head` is None where nobody knows which it is, or where it was removed. `doubt` says where one of the
    readings may be of another head: these are kept only where somebody says so.
    """

    source: StoredSource
    head: StoredHead | None
    taken: tuple[OnSet, ...]
    doubt: Doubtful | None = None

    @property
    def said(self) -> str:
        """What there is to keep: “2 readings: 100 %; 50 %, dish”."""
        how = " · ".join(stood(one.reading, gel) for one in self.taken)
        return f"{counted(len(self.taken), 'reading')}: {how}"

    @property
    def renamed(self) -> str:
        """Say how the head is called by now; empty where the source came by that name."""
        was = self.source.source.test.head if self.source.source.test else ""
        if self.head is None or was in ("", self.head.head.name):
            return ""
        return f"In Heads it is {self.head.head.name} now."

    @property
    def has_lamp(self) -> bool:
        """Whether somebody may have put another lamp into it."""
        return self.head is not None and self.head.head.kind not in _NO_LAMP

    def to(self, head_id: int) -> StoredHead | None:
        """Return the head of that id if the readings may be kept to it: its own, or the one that they fit."""
        able = [self.head, self.doubt.fits if self.doubt else None]
        return next((head for head in able if head and head.id == head_id), None)


def to_keep(
    source: StoredSource,
    readings: Sequence[StoredReading],
    heads: HeadStore,
    ladder: Ladder,
    accuracy: Accuracy,
) -> ToKeep | None:
    """Return what was read of a source and is not kept to its head yet; None where it is no known head."""
    name = source.source.test.head if source.source.test else source.source.name
    try:
        head = heads.head_of_source(source.id, name)
    except NotFound:
        return ToKeep(source, None, ())
    if head is None:
        return None
    taken = heads.not_kept(head.id, bare_here(source, readings))
    answered, _ = answered_of(source, readings, heads)
    doubt = _doubtful(replace(source, source=answered.source), head, taken, heads, ladder, accuracy)
    if doubt and doubt.fits:
        taken = heads.not_kept(doubt.fits.id, taken)
    return ToKeep(source, head, tuple(taken), doubt if taken else None)


def answered_of(
    source: StoredSource, readings: Sequence[StoredReading], heads: HeadStore
) -> tuple[AnsweredTest, StoredHead | None]:
    """Return what was said of readings of a source as they were kept, and to which other head the newest is.

    The other head is None where the newest is kept to its own head, or to none.
    """
    kept, own = heads.kept_as(source.id), _own_head(source, heads)
    here = [one for one in readings if one.counts]
    ours = {one.id: kept[one.id][1] for one in here if own and one.id in kept and kept[one.id][0] == own.id}
    counts, others = that_count([_as_tested(one) if one.id in ours else one.reading for one in here])
    as_kept = source.source.model_copy(update={"reading": counts, "readings": others})
    bare = [one.id for one in here if not (one.tested or one.reading.gels)]
    newest = bare[-1] if bare else 0
    new_lamp = any(test.new_lamp for test in ours.values())
    other = heads.get_head(kept[newest][0]) if newest in kept and newest not in ours else None
    return AnsweredTest(as_kept, new_lamp=new_lamp, kept_to=other.head.name if other else ""), other


def _as_tested(one: StoredReading) -> Reading:
    return one.reading.model_copy(update={"tested_at": one.taken_at})


def _own_head(source: StoredSource, heads: HeadStore) -> StoredHead | None:
    name = source.source.test.head if source.source.test else source.source.name
    try:
        return heads.head_of_source(source.id, name)
    except NotFound:
        return None


def _doubtful(
    source: StoredSource,
    head: StoredHead,
    taken: Sequence[OnSet],
    heads: HeadStore,
    ladder: Ladder,
    accuracy: Accuracy,
) -> Doubtful | None:
    """Say how the newest reading that contradicts the test of its head does; None where none does."""
    newest = {step_of(one.reading): one.reading for one in taken}  # that is what counts of each
    each = ((reading, _contradiction(source, reading, accuracy)) for reading in reversed(newest.values()))
    reading, found = next(((reading, found) for reading, found in each if found), (None, None))
    if reading is None or found is None:
        return None
    words = f"{NOT_AS_TESTED}: {moved_said(found.off, ladder, lit=False)}."
    alike = [
        line.stored
        for line in heads.list_heads()
        if line.readings and line.stored.id != head.id and line.stored.head.kind == head.head.kind
    ]
    which = reads_as(
        reading, found.off.steps, (readings_now(other, heads.tests_of(other.id)) for other in alike)
    )
    if which is None:
        return Doubtful(words, to_check(found), None)
    fits = alike[which]
    asked = f"Reads as {fits.head.name}’s test at {percent(reading.level)}. Is it that head?"
    return Doubtful(words, asked, fits)


def _contradiction(source: StoredSource, reading: HeadReading, accuracy: Accuracy) -> Contradiction | None:
    """Return how one reading contradicts the test of its head, whatever else was read on the set."""
    tested = [one for one in source.source.bare_readings if one.tested_at]
    alone = source.source.model_copy(update={"reading": reading.on_set, "readings": tested})
    test = moved_test(alone)
    return contradicts(alone, test, accuracy) if test else None


def bare_here(source: StoredSource, readings: Sequence[StoredReading]) -> list[OnSet]:
    """Return what was read bare of a source on its set, and counts; one without a level is at that in use.

    Where that is not said either, it is at the highest that was tested; without any it is left out.
    """
    tested = [kept.reading.level for kept in readings if kept.tested and kept.reading.level]
    usual = source.source.level or max(tested, default=None)
    found = []
    for kept in readings:
        reading = kept.reading
        level = reading.level or usual
        if not kept.counts or kept.tested or reading.gels or not reading.said or level is None:
            continue
        told = lit_at(reading, 1.0).model_dump(exclude=_NO_HEADS, exclude_none=True)
        found.append(OnSet(kept.id, make(HeadReading, {**told, "level": level}), kept.taken_at, kept.who))
    return found


def tests_of(
    taken: Sequence[OnSet], on_set: str, *, new_lamp: bool = False
) -> list[tuple[HeadTest, Sequence[OnSet]]]:
    """Return readings as one test, or, where they are too many for one, as one for each way they stood.

    With a `new_lamp` somebody says that the head got one.
    """
    said = {"on_set": on_set, "new_lamp": new_lamp}
    try:
        return [(_test(taken, said), taken)]
    except Refused:
        pass
    by_setup: dict[object, list[OnSet]] = {}
    for one in taken:
        dial = one.reading.dial
        setup = name_key(one.reading.modifier), dial and (dial.cct, dial.green)
        by_setup.setdefault(setup, []).append(one)
    return [_newest(some, said) for some in by_setup.values()]


def _newest(taken: Sequence[OnSet], said: Mapping[str, object]) -> tuple[HeadTest, Sequence[OnSet]]:
    levels = list(dict.fromkeys(one.reading.level for one in reversed(taken)))[:MOST_LEVELS]
    kept = [one for one in taken if one.reading.level in levels]
    return _test(kept, said), kept


def _test(taken: Sequence[OnSet], said: Mapping[str, object]) -> HeadTest:
    modifiers = {name_key(one.reading.modifier): one.reading.modifier for one in taken}
    dials = {(d.cct, d.green): d for one in taken if (d := one.reading.dial)}
    if dials and any(one.reading.dial is None for one in taken):
        raise Refused.one("dials", "some say how the dials stood, and others do not", "a test for each")
    levels = sorted({one.reading.level for one in taken}, reverse=True)
    data = {"levels": levels, "modifiers": list(modifiers.values()), "dials": list(dials.values())}
    return make(HeadTest, {**data, **said})


class KeptLine(NamedTuple):
    """A test that was kept from a set: its head, the change that kept it, and how many readings it has."""

    head: StoredHead
    change: HeadChange
    readings: int


def kept_lines(tests: Sequence[int], heads: HeadStore) -> list[KeptLine]:
    """Return what was kept as some tests, by their ids, and still is."""
    return [line for test_id in tests if (line := _kept_line(test_id, heads))]


def _kept_line(test_id: int, heads: HeadStore) -> KeptLine | None:
    try:
        test = heads.get_test(test_id)
    except NotFound:
        return None
    changes = heads.changes(test.head_id)
    change = next((c for c in changes if c.what == "test.kept" and c.part == test_id and not c.undone), None)
    return KeptLine(heads.get_head(test.head_id), change, len(test.readings)) if change else None
