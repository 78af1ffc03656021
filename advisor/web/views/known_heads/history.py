"""How a head aged over its tests, in words and as curves."""

from collections.abc import Sequence
from dataclasses import dataclass

from ....advice.known_heads.history import AgedWhite, aged, aged_said, holds
from ....advice.wording.ladder import Ladder
from ....model import HeadSetup
from ....model.sets.known_head import HeadStep
from ....store.known_heads.known import StoredTest
from ...pictures.head_history import head_history
from ...pictures.strips import Strips
from ...wording.values import capitalize_first, day_said, when_said, white_said


@dataclass(frozen=True)
class HeadHistory:
    """What a head read `at` a level in each of its tests, the newest first, and how far it came since.

    Where it got another lamp, that is since the lamp.
    """

    said: str
    at: str
    rows: tuple[tuple[str, str], ...]
    drawn: Strips | None


def history_of(tests: Sequence[StoredTest], ladder: Ladder) -> HeadHistory | None:
    """Return how a head aged over `tests`, the newest first; None where nothing was read."""
    some = [test for test in reversed(tests) if test.readings]
    read = [(t.begun_at, [t.readings[k].reading for k in sorted(t.readings)]) for t in some]
    full, points = aged(read)
    if full is None:
        return None
    step = HeadStep(HeadSetup(full.modifier, full.dial), full.level).words
    said_at = _times(points)
    lamps = {test.begun_at for test in some if test.test.new_lamp}
    whites = [
        f"{white_said(p.white.cct, p.white.duv)}{', new lamp' if p.at in lamps else ''}" for p in points
    ]
    rows = tuple(zip(reversed(said_at), reversed(whites), strict=True))
    if len(points) < 2:
        once = "Read once so far" if len(read) < 2 else f"Read once so far at {step}"
        return HeadHistory(f"{once}. {_AGAIN}", step, rows, None)
    drawn = head_history(points, step)
    # What another lamp read tells nothing of this one.
    lamp = max(lamps, default="")
    own = [k for k, point in enumerate(points) if point.at >= lamp]
    if len(own) < 2:
        return HeadHistory(f"New lamp since {when_said(lamp)}. {_AGAIN}", step, rows, drawn)
    first, last, since = points[own[0]].white, points[-1].white, said_at[own[0]]
    moved = aged_said(first, last, ladder)
    said = f"{capitalize_first(moved)} since {since}." if moved else f"Reads the same since {since}."
    if moved and holds(first, last):
        said += " It still matches."
    return HeadHistory(said, step, rows, drawn)


_AGAIN = "Test it again to see how it ages."


def _times(points: Sequence[AgedWhite]) -> list[str]:
    """Return when each was read: its day, and its time too where the day has another."""
    days = [day_said(p.at) for p in points]
    return [when_said(p.at) if days.count(day) > 1 else day for p, day in zip(points, days, strict=True)]
