"""A head that was read last with its dials turned since they were set: how it stood then."""

from dataclasses import dataclass

from ...colour.observer.chromaticity import steps_apart
from ...model import Reading, Refused, Seen, Setting, Work
from ..readings.chromaticity import WhitePoint, measure
from ..wording import words
from ..wording.ladder import Ladder


@dataclass(frozen=True, eq=False)
class TurnedSince:
    """What a head read last, at other dials than those that it was `set_to`.

    `seen` is what the eye made of it beside what is wanted, and `words` say that and which way.
    """

    reading: Reading
    white: WhitePoint
    set_to: Setting
    read_at: Setting
    seen: Seen
    words: str


def turned_since(work: Work, wanted: WhitePoint, tolerance: float, ladder: Ladder) -> TurnedSince | None:
    """Return how a head stood that was read last at other dials; None where it was not, or reads no white.

    `tolerance` [step] is its own.
    """
    reading, bare = work.read_turned, work.read_bare
    set_to = work.dial or (bare.dial if bare else None)
    if reading is None or reading.dial is None or set_to is None or not work.hangs:
        return None
    try:
        white = measure(reading)
    except Refused:
        return None
    steps = float(steps_apart(white.uv, wanted.uv))
    said = words.left_over(steps, *white.shift_to(wanted), tolerance, ladder)
    return TurnedSince(reading, white, set_to, reading.dial, words.seen(steps, tolerance), said)
