"""How far off, and which way, in the trade's words: gel fractions.

The gel table says how large a fraction is (`ladder`). Warmer is said in its CTO, cooler in its CTB. The rungs
between the fractions are our own, set so that readings get the words that the trade would use: common
practice, no source.
"""

import itertools
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from ...model import Locus, Seen
from ..readings.chromaticity import WhitePoint
from ..readings.target import locus_duv, locus_duvs
from .ladder import FRACTIONS, Ladder, Sizes

_NAMES = (*(fraction.said for fraction in FRACTIONS), "one and a half", "two full")
_MATCH, _OBVIOUS = 1.0, 7.0
"""Within the first two lights match, beyond the second they are obviously two. [step] One step is just
visible (CIE TN 001:2014, radius from memory); the other is a judgement of ours."""


@dataclass(frozen=True)
class Amount:
    """A distance on the ladder: `rung` 0 is on the spot, 1 nearly, 2 a touch; then gel fractions."""

    rung: int
    text: str


def amount(distance: float, sizes: Sizes) -> Amount:
    """Say a distance in fractions of a gel, whose sizes are given in the same unit."""
    full = sizes[-1]
    steps = [*sizes, 1.5 * full, 2.0 * full]
    size, eighth = abs(distance), steps[0]
    for rung, (share, text) in enumerate(
        (
            (0.02, ""),
            (0.1, ""),
            (0.3, "a touch"),
            (0.6, "about half an eighth"),
            (0.8, "less than an eighth"),
        )
    ):
        if size < share * eighth:
            return Amount(rung, text)
    for i, (here, following) in enumerate(itertools.pairwise(steps)):
        part = (size - here) / (following - here)
        if part < 0.1:
            return Amount(5 + i, f"about {_NAMES[i]}")
        if part < 0.4:
            return Amount(5 + i, f"a little over {_NAMES[i]}")
        if part < 0.85:
            return Amount(5 + i, f"between {_NAMES[i]} and {_NAMES[i + 1]}")
    if size < 1.1 * steps[-1]:
        return Amount(11, f"about {_NAMES[-1]}")
    return Amount(12, f"more than {_NAMES[-1]}")


def amount_of_green(duv: float, ladder: Ladder) -> Amount:
    """Say a distance in Duv in fractions of plus or minus green; nothing below a step, which nobody sees."""
    return _seen_green(duv, ladder.across(duv))


def _seen_green(duv: float, sizes: Sizes) -> Amount:
    said = amount(duv, sizes)
    return Amount(min(said.rung, 1), "") if abs(duv) < LEAST_GREEN else said


LEAST_GREEN = 0.0008
"""From this Duv on a light is called green, or magenta. It is about a step (0.0011 Δu′v′): between 2 500 and
7 000 K a unit of Duv is 1.5 to 1.2 of Δu′v′."""


def against_locus(duv: float, locus_duv: float, locus: Locus, ladder: Ladder) -> str:
    """Describe a reading's `duv` against a locus that lies at `locus_duv` for its CCT."""
    name = "the Planckian locus" if locus is Locus.PLANCKIAN else "the daylight locus"
    off = duv - locus_duv
    said = amount_of_green(off, ladder)
    if not said.text:
        return f"on {name}"
    return f"{said.text} {'green' if off > 0 else 'magenta'} against {name}"


def against_loci(white: WhitePoint, ladder: Ladder) -> dict[Locus, str]:
    """Say in eighths where a white lies against each locus that reaches to its CCT."""
    duvs = {locus: duv for locus in Locus if (duv := locus_duv(white.cct, locus)) is not None}
    return _against(white.duv, duvs, ladder)


def against_loci_each(whites: Sequence[WhitePoint], ladder: Ladder) -> list[dict[Locus, str]]:
    """Say in eighths where each white lies, as `against_loci` does."""
    each = zip(whites, locus_duvs([white.cct for white in whites]), strict=True)
    return [_against(white.duv, duvs, ladder) for white, duvs in each]


def _against(duv: float, duvs: Mapping[Locus, float], ladder: Ladder) -> dict[Locus, str]:
    return {locus: against_locus(duv, at, locus, ladder) for locus, at in duvs.items()}


def shift(mired: float, duv: float, ladder: Ladder, *, visible: bool = False) -> str:
    """Describe a source that needs `mired` and `duv`: “about a quarter CTO too cool, a touch too green”.

    With `visible`, a difference that the eye sees gets at least “a touch”, however large the fractions are.
    """
    warm = _Way("CTO ", "too cool", ladder.cto) if mired > 0 else _Way("CTB ", "too warm", ladder.ctb)
    green = (
        _Way("", "too magenta", ladder.plus_green) if duv > 0 else _Way("", "too green", ladder.minus_green)
    )
    return _both(mired, warm, duv, green, visible) or "on the target"


def shift_each(shifts: Sequence[tuple[float, float]], ladder: Ladder) -> list[str]:
    """Describe sources by what each needs, in mired and Duv, as `shift` does."""
    return [shift(mired, duv, ladder) for mired, duv in shifts]


def beside(mired: float, duv: float, ladder: Ladder, *, visible: bool = False) -> str:
    """Describe a source beside another: “about a half CTO warmer, about an eighth greener”.

    `visible` is as in `shift`.
    """
    warm = _Way("CTO ", "warmer", ladder.cto) if mired > 0 else _Way("CTB ", "cooler", ladder.ctb)
    green = (
        _Way("", "greener", ladder.plus_green) if duv > 0 else _Way("", "more magenta", ladder.minus_green)
    )
    return _both(mired, warm, duv, green, visible) or "the same white"


AS_FRACTION = (0.5, 0.0002)
"""A wanted shift this near to a fraction of CTO [mired], or of green [Duv], is said as that fraction."""


def exactly(mired: float, duv: float, ladder: Ladder) -> tuple[str | None, str | None]:
    """Say a shift on both axes in whole fractions: “half a CTO warmer”; None on an axis without one."""
    along, across = ladder.both(mired, duv)
    warm = _fraction(mired, along, AS_FRACTION[0], "CTO" if mired > 0 else "CTB")
    green = _fraction(duv, across, AS_FRACTION[1])
    return (
        warm and f"{warm} {'warmer' if mired > 0 else 'cooler'}",
        green and f"{green} {'greener' if duv > 0 else 'more magenta'}",
    )


def _fraction(value: float, sizes: Sizes, within: float, gel: str = "") -> str | None:
    """Name the fraction of a `gel` that a value is; empty for zero, None if it is not a fraction."""
    if value == 0:
        return ""
    at = next((k for k, size in enumerate(sizes) if abs(abs(value) - size) <= within), None)
    return None if at is None else fraction_of(FRACTIONS[at].said, gel)


def fraction_of(said: str, gel: str) -> str:
    """Say a fraction of a gel: “half a CTO”, “an eighth CTO”. For green, whose name follows: “a half”."""
    if not gel:
        return said
    return f"half a {gel}" if said == "a half" else f"{said} {gel}"


class _Way(NamedTuple):
    """A way to be off: the gel, its words, and the sizes of the gel's fractions."""

    gel: str
    text: str
    sizes: Sizes


def _both(mired: float, warm: _Way, duv: float, green: _Way, visible: bool) -> str:
    """Say how far along both axes, with the gel and the way of each; nothing where neither is worth it."""
    along, across = amount(mired, warm.sizes), _seen_green(duv, green.sizes)
    parts = []
    if along.rung >= 2:
        parts.append(f"{along.text} {'' if along.rung == 2 else warm.gel}{warm.text}")
    if across.rung >= 2:
        parts.append(f"{across.text} {green.text}")
    if visible and not parts:
        more = warm if abs(mired) / warm.sizes[0] > abs(duv) / green.sizes[0] else green
        parts.append(f"a touch {more.text}")
    return ", ".join(parts)


def seen(steps: float, tolerance: float) -> Seen:
    """Say what the eye makes of a distance, where `tolerance` counts as near enough, both in steps.

    If the tolerance is less than a step, light just beyond it is still close: no eye sees the difference.
    """
    if steps <= min(_MATCH, tolerance):
        return Seen.MATCHES
    if steps <= max(_MATCH, tolerance):
        return Seen.CLOSE
    return Seen.SHOWS if steps <= _OBVIOUS else Seen.OBVIOUS


def is_seen(seen_as: Seen, *, later: bool = False) -> str:
    """Say it with its verb: “matches”, “is close”; of what is yet to come “will match”, “will be close”."""
    if seen_as is Seen.MATCHES:
        return "will match" if later else "matches"
    return f"{'will be' if later else 'is'} {seen_as}"


def foreseen(steps: float, expected: float, within: float, tolerance: float) -> Seen:
    """Say what the eye will likely make of a light whose likeliest place is so many `steps` off.

    It is close only if its chance `within` the tolerance is told as five in ten or more. It matches only if
    that chance is told as nine in ten or more, and the mean miss `expected` [step] does. So the word never
    contradicts the chance beside it. Else it is obvious by its likeliest place, as everything is that is
    compared: what doubt there is of it, the chance says.
    """
    if within >= _FIVE_IN_TEN:
        sure = seen(expected, tolerance) is Seen.MATCHES and within >= _NINE_IN_TEN
        return Seen.MATCHES if sure else Seen.CLOSE
    return Seen.OBVIOUS if seen(steps, tolerance) is Seen.OBVIOUS else Seen.SHOWS


_FIVE_IN_TEN, _NINE_IN_TEN = 0.45, 0.85
"""Chances from these on are told as five, and nine, times in ten."""


def left_over(steps: float, mired: float, duv: float, tolerance: float, ladder: Ladder) -> str:
    """Describe what is left: how plainly the eye sees it and, unless it matches, which way."""
    return left_as(seen(steps, tolerance), steps, mired, duv, ladder)


def left_as(seen_as: Seen, steps: float, mired: float, duv: float, ladder: Ladder) -> str:
    """Describe what is left, seen as `seen_as`; and which way, unless its likeliest place matches."""
    matches = seen_as is Seen.MATCHES or steps <= _MATCH
    return str(seen_as) if matches else f"{seen_as}: {shift(mired, duv, ladder, visible=True)}"


class Left(NamedTuple):
    """What is left behind a stack: how plainly the eye sees it, and in words which way."""

    seen: Seen
    words: str


def left_of_each(
    away: Sequence[float],
    expected: Sequence[float],
    within: Sequence[float | None],
    shifts: Sequence[tuple[float, float] | None],
    tolerances: Sequence[float],
    ladder: Ladder,
) -> list[Left]:
    """Say what is left behind each stack.

    `away` [step] is how far its likeliest place is off, `expected` [step] the mean, `within` the chance to
    land within its tolerance [step], None where it was read. `shifts` are what it needs yet, in mired and
    Duv; None where it is no white any more.
    """
    found = []
    each = zip(away, expected, within, shifts, tolerances, strict=True)
    for steps, mean, chance, shift_left, tolerance in each:
        seen_as = seen(steps, tolerance) if chance is None else foreseen(steps, mean, chance, tolerance)
        said = "no longer a white" if shift_left is None else left_as(seen_as, steps, *shift_left, ladder)
        found.append(Left(seen_as, said))
    return found


def times_in_ten(chance: float) -> int:
    """Return how many times in ten a probability is told as: what is told alike is no better."""
    return round(10.0 * chance)


def in_ten(chance: float) -> str:
    """Say a probability as a crew would: so many times in ten."""
    times = times_in_ten(chance)
    said = f"{min(max(times, 1), 9)} in 10".replace(" ", "\N{NO-BREAK SPACE}")
    return f"under {said}" if times < 1 else f"over {said}" if times > 9 else said
