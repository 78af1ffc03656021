"""Tested heads as sources of a set, and what was read of them there as tests of the heads."""

from collections.abc import Sequence
from datetime import UTC, datetime

from ....advice.known_heads.ageing import PastTest, step_of
from ....advice.known_heads.on_set import KeptTest, counting_tests, readings_of, source_of
from ....advice.readings.tested import as_moved
from ....model import HeadReading, Source
from ....store.known_heads.known import StoredHead, StoredTest, TakenReading
from ....store.tables.writes import ReadingOfTest


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


def _kept(test: StoredTest) -> KeptTest:
    readings = [taken.reading for taken in _taken(test)]
    return KeptTest(
        test.test, PastTest(datetime.fromisoformat(test.begun_at), readings, test.test.minutes_on)
    )


def _taken(test: StoredTest) -> list[TakenReading]:
    # The first step, full and mostly bare, comes last, since the last one counts.
    return [test.readings[k] for k in sorted(test.readings, reverse=True)]
