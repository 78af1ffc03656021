"""Daylight moves: what was read of it on another day tells nothing of now, and hours later little.

Daylight that nobody read today is metered before anything is hung. Daylight of an hour ago or more says how
old its reading is, as a nudge: what was confirmed stays confirmed.
"""

from collections.abc import Sequence
from dataclasses import replace
from datetime import UTC, datetime

from ...advice.plan.plan import Plan
from ...model import Kind
from ...store import StoredSet, StoredSource
from ..wording.values import when_said

FRESH = 3600.0
"""Daylight that was read so long ago is read again. [s] Our judgement."""


def clock() -> datetime:
    """Return the time of now."""
    return datetime.now(UTC)


def of_today(now: StoredSet, plan: Plan) -> Plan:
    """Return the plan of a set with daylight marked that was read last on another day."""
    old = {i for i, stored in enumerate(now.sources) if is_of_another_day(stored)}
    if not old:
        return plan
    heads = [replace(head, other_day=i in old) for i, head in enumerate(plan.heads)]
    return replace(plan, heads=tuple(heads))


def is_of_another_day(stored: StoredSource) -> bool:
    """Whether a source is daylight that was read last on another day, by the laptop's calendar.

    Minutes after midnight, what was read minutes before it is still of now.
    """
    read = _read_at(stored)
    if read is None or abs((clock() - read).total_seconds()) < FRESH:
        return False
    return read.astimezone().date() != clock().astimezone().date()


def read_ago_each(sources: Sequence[StoredSource]) -> list[str]:
    """Say how long ago each source was read that is daylight, as `read_ago` does."""
    return [read_ago(stored) for stored in sources]


def read_ago(stored: StoredSource) -> str:
    """Say how long ago daylight was read, where that is an hour or more, or of which day it is; else nothing.

    “Read 5 h ago, meter it”, “Read 17:44, 28 Nov: meter it”.
    """
    read = _read_at(stored)
    if read is None:
        return ""
    if is_of_another_day(stored):
        return f"Read {when_said(read.isoformat())}: meter it"
    age = (clock() - read).total_seconds()
    return f"Read {int(age / 3600.0)} h ago, meter it" if age >= FRESH else ""


def _read_at(stored: StoredSource) -> datetime | None:
    """Return when daylight was read last, bare or behind gels; None of another kind, or where nobody did.

    What is left as it is on purpose is not asked for either.
    """
    source = stored.source
    if source.kind is not Kind.DAYLIGHT or source.aim.leave:
        return None
    times = [stored.taken_at, stored.behind.taken_at if stored.behind else ""]
    read = [datetime.fromisoformat(at) for at in times if at]
    return max((at if at.tzinfo else at.replace(tzinfo=UTC) for at in read), default=None)
