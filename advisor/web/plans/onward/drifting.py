"""Sources of a set that drift: how fast, when that shows, and by when to meter them, in words."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

from markupsafe import Markup

from ....advice.drift_ahead.leaving import DriftAhead, Leaving, drift_ahead
from ....advice.drift_ahead.rate import DriftRate
from ....advice.drift_ahead.series import LATELY, LEAST_SPAN, DriftSeries, TimedReading, series_of
from ....advice.stacks.kept import Kept
from ....model import Kind, Refused
from ....model.basis.base import utc_text
from ....model.basis.quantities import tidy
from ....model.sets.lightset import MAX_SOURCES
from ....model.sets.phrases import listed
from ....store import SetStore, StoredSet, StoredSource
from ...state import state
from ...wording.values import hour
from ..kept import PlanInputs, asked_of, planned
from ..sky import clock

_TOO_OLD = timedelta(hours=12)
"""If the last reading is older than this, a source's drift now is not known. Our judgement."""
_WIDEST = 5.0
"""No rate is told where the fastest likely drift is over this many times the slowest. Our judgement."""


@dataclass(frozen=True)
class Reminder:
    """A source to meter because it drifts: the texts of its note on the board and of its button, and why.

    `due` is when that has to be said otherwise, as a time of the store; None where it has passed.
    """

    source_id: int
    note: Markup
    button: Markup
    why: Markup
    due: str | None


def drift_of(now: StoredSet, stored: StoredSource) -> DriftAhead | None:
    """Return how a source of a set drifts; None where its readings do not tell how it drifts now."""
    return _drift_of(asked_of(now), now.index_of(stored.id), stored)


def reminders_of(now: StoredSet, asked: PlanInputs) -> list[Reminder]:
    """Return which sources of a set to meter, because they drift: the soonest first."""
    taken, by_now = state().sets.taken_between(now.id), clock()
    drifts = [
        (_drift_of(asked, index, stored), stored)
        for index, stored in enumerate(now.sources)
        if _may_drift(*taken.get(stored.id, ("", "")), by_now)
    ]
    found = [(one.leaving, stored) for one, stored in drifts if one and one.leaving]
    found.sort(key=lambda pair: pair[0].early)
    return [_reminder(leaving, stored) for leaving, stored in found]


def drift_said(drift: DriftAhead) -> Markup:
    """Say how fast a source drifts, when that shows, and by when to meter it; empty if it may be steady."""
    if not drift.rate.sure:
        return Markup("")
    said = Markup("Drifts {}.").format(listed(list(_ways(drift.rate))))
    if drift.leaving is None:
        return said
    return Markup("{} {} Meter it {}.").format(said, _why(drift.leaving, drift.name), _when(drift.leaving))


def _drift_of(asked: PlanInputs, index: int, stored: StoredSource) -> DriftAhead | None:
    if stored.readings < 2:
        return None
    series = watched(state().sets, stored)
    # Most sources were read within minutes. They end here, before anything is planned.
    if series is None or clock() - series.at > _TOO_OLD:
        return None
    return _AHEAD.of((asked.number, index, series), lambda: _ahead(asked, index, series))


def watched(sets: SetStore, stored: StoredSource) -> DriftSeries | None:
    """Return what a source read lately; None where that tells no drift. Kept for each state of a source."""
    # Whatever changes its readings raises its revision; the others tell sources of other files apart.
    version = sets.db.path, stored.id, stored.revision, stored.taken_at, stored.readings
    return _WATCHED.of(version, lambda: _watched(sets, stored.id, stored.source.kind))


def _watched(sets: SetStore, source_id: int, kind: Kind) -> DriftSeries | None:
    read = sets.read_lately(source_id, LATELY)
    return series_of([TimedReading(kept.reading, _time(kept.taken_at)) for kept in read], kind)


def _may_drift(first: str, last: str, now: datetime) -> bool:
    """Whether readings from `first` to `last` (ISO 8601) may tell a drift `now`; if not, none are loaded."""
    if not last or now - _time(last) > _TOO_OLD:
        return False
    return _time(last) - _time(first) >= LEAST_SPAN


def _reminder(leaving: Leaving, stored: StoredSource) -> Reminder:
    when, name, now = _when(leaving), stored.source.name, clock()
    ahead = [at for at in (_deadline(leaving.early), _about(leaving.at)) if at > now]
    return Reminder(
        source_id=stored.id,
        note=Markup("Drifts: meter it {}").format(when),
        button=Markup("Meter {} {}").format(name, when),
        why=_why(leaving, name),
        due=utc_text(min(ahead).astimezone(UTC)) if ahead else None,
    )


def _when(leaving: Leaving) -> Markup:
    """Say when to meter it: “by 14:30”, or “now” once that has passed."""
    by = _deadline(leaving.early)
    return Markup("by {}").format(_hour(by)) if by > clock() else Markup("now")


def _why(leaving: Leaving, name: str) -> Markup:
    """Say when it shows, and on what; what nobody has metered since only may."""
    about = _about(leaving.at)
    at, passed = _hour(about), about <= clock()
    if leaving.names == (name,):
        said = "Since about {} it may not match." if passed else "About {} it no longer matches."
        return Markup(said).format(at)
    verb = "may show" if passed else "shows" if len(leaving.names) == 1 else "show"
    said = "Since about {} {} {} beside it." if passed else "About {} {} {} beside it."
    return Markup(said).format(at, listed(list(leaving.names)), verb)


def _ways(rate: DriftRate) -> Iterator[str]:
    """Yield which way a source drifts, and how fast where that is known: “cooler by 7 to 9 mired an hour”."""
    if abs(rate.mired) > rate.mired_doubt:
        low, high = abs(rate.mired) - rate.mired_doubt, abs(rate.mired) + rate.mired_doubt
        yield f"{'warmer' if rate.mired > 0 else 'cooler'}{_by_span(low, high, 0, 'mired')}"
    if abs(rate.duv) > rate.duv_doubt:
        low, high = abs(rate.duv) - rate.duv_doubt, abs(rate.duv) + rate.duv_doubt
        yield f"{'greener' if rate.duv > 0 else 'more magenta'}{_by_span(low, high, 4, 'Duv')}"


def _by_span(low: float, high: float, decimals: int, unit: str) -> str:
    """Say how fast; nothing where the rate is as good as unknown."""
    if high > _WIDEST * low:
        return ""
    first, last = tidy(low, decimals), tidy(high, decimals)
    return f" by {first if first == last else f'{first} to {last}'} {unit} an hour"


def _deadline(at: datetime) -> datetime:
    """Return the time by which something is to be done, rounded down to five minutes."""
    return at - timedelta(minutes=at.minute % 5, seconds=at.second, microseconds=at.microsecond)


def _about(at: datetime) -> datetime:
    """Return an estimated time, rounded to the nearest ten minutes."""
    later = at + timedelta(minutes=5)
    return later - timedelta(minutes=later.minute % 10, seconds=at.second, microseconds=at.microsecond)


def _hour(at: datetime) -> Markup:
    return hour(utc_text(at.astimezone(UTC)))


def _time(at: str) -> datetime:
    time = datetime.fromisoformat(at)
    return time if time.tzinfo else time.replace(tzinfo=UTC)


def _ahead(asked: PlanInputs, index: int, series: DriftSeries) -> DriftAhead | None:
    try:
        return drift_ahead(planned(asked), asked.target, index, series)
    except Refused:
        return None


_WATCHED, _AHEAD = Kept(2 * MAX_SOURCES), Kept(2 * MAX_SOURCES)
"""What each source read lately, by its state; and when that shows, by that and by what was asked."""
