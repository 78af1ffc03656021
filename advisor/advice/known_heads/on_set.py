"""A tested head as a source of a set: its readings, and how sure they are, before anybody meters it there."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from ...model import AsTested, HeadTest, KnownHead, Reading, Refused, Source
from ...model.basis.base import utc_text
from .ageing import A_DAY, PastTest, doubt_now, one_a_day, step_of


@dataclass(frozen=True, eq=False)
class KeptTest:
    """A test with what was read, in the order in which it is to count: the last one first of all."""

    test: HeadTest
    past: PastTest


def source_of(head: KnownHead, tests: Sequence[KeptTest], now: datetime) -> Source:
    """Return a head as a source without work, by the tests that count (`counting_tests`).

    `tests` are in order of time, the newest last; those without readings count for nothing. Raises Refused
    where nothing was read.
    """
    read = [one for one in tests if one.past.readings]
    if not read:
        raise Refused.one("head", f"{head.name} was not tested", "a head that was tested, or test it first")
    counting = counting_tests(read)
    by_test = [readings_of(one) for one in counting]
    # What was kept from a set moves the test; the newest test has the level that counts.
    readings = [reading for some in reversed(by_test) for reading in some]
    lamp = max((k for k, one in enumerate(read) if one.test.new_lamp), default=0)
    by_day = one_a_day([one.past for one in read[lamp:]])  # what another lamp did tells nothing of this one
    watts = next((r.watts for one in reversed(read) for r in reversed(one.past.readings) if r.watts), None)
    return Source(
        name=head.name,
        kind=head.kind,
        reading=readings[-1],
        readings=readings[:-1],
        reach=head.reach,
        note=head.note,
        watts=watts,
        test=AsTested(
            head=head.name,
            doubt_steps=round(doubt_now(by_day, now), 2),
            tests=len(by_day),
            distance=counting[0].test.distance,
        ),
    )


def counting_tests(read: Sequence[KeptTest]) -> Sequence[KeptTest]:
    """Return the newest test of its own, and what was kept from sets since; all where there is none.

    Tests of one day at one distance add up: earlier ones follow the newest, with what no later one read.
    """
    own = [k for k, one in enumerate(read) if not one.test.on_set]
    if not own:
        return read
    newest = read[own[-1]]
    known, earlier = set(map(step_of, newest.past.readings)), []
    for one in (read[k] for k in reversed(own[:-1])):
        if newest.past.at - one.past.at > A_DAY or one.test.distance != newest.test.distance:
            break
        more = [reading for reading in one.past.readings if step_of(reading) not in known]
        if more:
            earlier.append(KeptTest(one.test, replace(one.past, readings=more)))
            known.update(map(step_of, more))
    return [newest, *earlier, *read[own[-1] + 1 :]]


def readings_of(one: KeptTest) -> list[Reading]:
    """Return the readings of a test as a source has them."""
    at = utc_text(one.past.at)
    return [r.on_set.model_copy(update={"tested_at": at}) for r in one.past.readings]
