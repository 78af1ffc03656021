"""What is said of a tested head in a sentence or two: against the loci, and its drift."""

from collections.abc import Mapping, Sequence

from ...colour.observer.chromaticity import steps_apart
from ...model import HeadReading, HeadSetup, Setting
from ...model.basis.quantities import tidy
from ...model.sets.known_head import HeadStep
from ...model.sets.phrases import dial_said, listed, percent
from ..readings.chromaticity import WhitePoint, measure
from ..wording.ladder import Ladder
from ..wording.words import against_loci, beside

_MATCHES, _CLOSE = 1.0, 3.0
"""Up to the first a light matches that at full, up to the second it is close, and nobody carries gel for its
drift: as `words.seen` has it. [step]"""
_MOST_SAID = 4
"""The most settings of the dials that a sentence names: the ends stand for more."""


def drift_said(white: WhitePoint, full: WhitePoint, ladder: Ladder, within: float = _CLOSE) -> str:
    """Say what a white is beside that at full, empty where it is `within` so many steps of it."""
    if steps_apart(white.uv, full.uv) <= within:
        return ""
    return beside(*full.shift_to(white), ladder, visible=True)


def step_said(white: WhitePoint, ladder: Ladder, full: WhitePoint | None = None) -> str:
    """Say in one line what a reading just taken means; beside that at full, where there is one."""
    said = " ".join(_sentence(one) for one in against_loci(white, ladder).values())
    if full is None:
        return said
    holds = "matches it" if steps_apart(white.uv, full.uv) <= _MATCHES else "close to it"
    return f"{said} Beside full: {drift_said(white, full, ladder) or holds}."


def _sentence(words: str) -> str:
    return f"{words[0].upper()}{words[1:]}."


def main_setup(readings: Mapping[HeadSetup, Sequence[HeadReading]]) -> HeadSetup:
    """Return the setup that a head is told by: with the dials that were read at the most levels.

    Of these it is the first that was read at two levels or more: a level that was left out bare makes no
    modifier what the others are held against.
    """
    most = max(readings, key=lambda setup: len(readings[setup]))
    enough = min(len(readings[most]), 2)
    return next(one for one, rows in readings.items() if one.dial == most.dial and len(rows) >= enough)


def sentences(
    readings: Mapping[HeadSetup, Sequence[HeadReading]], ladder: Ladder, *, same_gels: bool = True
) -> tuple[str, ...]:
    """Say what there is to say of readings by how the head was set up, those of each by level from full down.

    There is one reading at least; the first of `main_setup` is what all others with its dials are held
    against. `same_gels` says whether that setup is told to hang the same at all its levels.
    """
    setup = main_setup(readings)
    first = readings[setup][0]
    full = measure(first)
    one, *other = against_loci(full, ladder).values()
    lines = [" ".join([f"At {HeadStep(setup, first.level).words}: {one}.", *map(_sentence, other)])]
    others = [(other.modifier, rows) for other, rows in readings.items() if other.dial == setup.dial]
    beside_it = [(modifier, rows) for modifier, rows in others if modifier != setup.modifier]
    parts = [
        *_drift(readings[setup], full, ladder, same_gels=same_gels),
        *_with_others(readings[setup], setup.modifier, beside_it, ladder),
    ]
    if parts:
        lines.append(" ".join(f"{part}." for part in parts))
    if turned := _turned(readings):
        lines.append(turned)
    return tuple(lines)


def _drift(own: Sequence[HeadReading], full: WhitePoint, ladder: Ladder, *, same_gels: bool) -> list[str]:
    """Say how the head drifts down its levels; nothing where one alone was read."""
    if len(own) < 2:
        return []
    said = [(r, drift_said(measure(r), full, ladder)) for r in own[1:]]
    moved = [(r, words) for r, words in said if words]
    low = percent(own[-1].level)
    if moved:
        return [f"At {percent(moved[-1][0].level)} it is {moved[-1][1]}"]
    if not same_gels:
        return [f"It stays close to full down to {low}. What to hang changes"]
    holds = all(steps_apart(measure(r).uv, full.uv) <= _MATCHES for r in own[1:])
    return [f"It {'holds its colour' if holds else 'stays close to full'} down to {low}"]


def _with_others(
    own: Sequence[HeadReading],
    modifier: str,
    others: Sequence[tuple[str, Sequence[HeadReading]]],
    ladder: Ladder,
) -> list[str]:
    """Say how the light changes with each other modifier, at the highest level read with both.

    Of one that was read at no such level nothing is said: dimming alone moves the light too.
    """
    by_level = {r.level: measure(r) for r in own}
    said, same = [], []
    for other, rows in others:
        reading = next((r for r in rows if r.level in by_level), None)
        if reading is None:
            continue
        words = drift_said(measure(reading), by_level[reading.level], ladder, within=_MATCHES)
        at = "" if reading.level == own[0].level else f" at {percent(reading.level)}"
        if words:
            said.append(f"With {other or 'nothing on it'}{at}: {words}")
        else:
            same.append(f"{other or 'bare'}{at}")
    if same:
        said.append(f"With {listed(same)} it matches {modifier or 'bare'}")
    return said


def _turned(readings: Mapping[HeadSetup, Sequence[HeadReading]]) -> str:
    """Say what the dials really give; empty where no dial was read."""
    reads: dict[Setting, float] = {}
    for setup, rows in readings.items():
        if setup.dial:
            reads.setdefault(setup.dial, measure(rows[0]).cct)
    named = list(reads)
    if len(named) > _MOST_SAID:
        plain = min(abs(dial.green) for dial in named)
        alike = [dial for dial in named if abs(dial.green) == plain]
        named = [min(alike, key=lambda dial: dial.cct), max(alike, key=lambda dial: dial.cct)]
    said = [f"{dial_said(dial)} reads {tidy(reads[dial], 0)}\N{NO-BREAK SPACE}K" for dial in named]
    rest = " The table has those in between." if len(named) < len(reads) else ""
    return f"On its dials, {listed(said)}.{rest}" if said else ""
