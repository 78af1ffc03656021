"""The columns of a table, understood together: which are used, which are not, which contradict."""

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace

from ...model import Problem, Refused
from ...model.units import FOOT_CANDLE
from ..vocabulary.headings import DERIVED, FIGURES, MEASURED, Field, Heading, letters, understand

_Found = Sequence[Heading | None]
_SHOWN_UNITS = {Field.CCT: " [K]", Field.LUX: " [lx]", Field.LEVEL: " [%]", Field.DIAL_CCT: " [K]"}


@dataclass(frozen=True)
class Columns:
    """`used[field]` is (position, factor); `meanings` (heading, words) and `ignored` are for a person.

    `ssi_reference` is what the SSI that is used was taken against.
    """

    used: dict[Field, tuple[int, float]]
    meanings: list[tuple[str, str]]
    ignored: list[str]
    ssi_reference: str | None = None


def resolve(headings: list[str], *, where: str) -> Columns:
    """Understand all headings of a table together.

    Where several columns can be the name, kind or note, the likeliest is taken; of lux and foot-candles,
    lux; of several Ra or SSI, the first of the likeliest. SSI counts only if it names its reference.
    Raises Refused, naming both, if two columns say the same thing.
    """
    found = _tell_tristimulus(headings, [understand(h) for h in headings])
    places: dict[Field, list[tuple[int, Heading]]] = {}
    for i, heading in enumerate(found):
        if heading is not None:
            places.setdefault(heading.field, []).append((i, heading))
    used: dict[Field, tuple[int, float]] = {}
    notes: dict[int, str] = {}
    problems: list[Problem] = []
    reference: str | None = None
    for field, at in places.items():
        if field in DERIVED:
            notes |= {i: DERIVED[field] for i, _ in at}
            continue
        if field is Field.SSI:
            bare = [i for i, heading in at if heading.reference is None]
            notes |= dict.fromkeys(bare, "SSI needs its reference in the heading, as in SSI P3200")
            at = [place for place in at if place[0] not in bare]
            if not at:
                continue
        at.sort(key=lambda place: _preference(place[1]))
        (first, best), rest = at[0], at[1:]
        twice = [i for i, heading in rest if _preference(heading) == _preference(best)]
        if twice and field not in FIGURES:
            problems.append(_said_twice(field, sorted([first, *twice]), headings, where))
        used[field] = (first, best.factor)
        reference = best.reference or reference
        notes |= {i: f"{headings[first].strip()} is used as the {field}" for i, _ in rest}
    if problems:
        raise Refused(problems)
    meanings, ignored = [], []
    for i, (text, heading) in enumerate(zip(headings, found, strict=True)):
        shown = text.strip()
        if i in notes:
            ignored.append(f"{shown}: {notes[i]}")
        elif heading is not None:
            meanings.append((shown, _meaning(heading)))
        elif shown:
            ignored.append(shown)
    return Columns(used, meanings, ignored, reference)


def _preference(heading: Heading) -> tuple[float, ...]:
    """Rank two columns of one field: the lower is taken, and equal ones contradict each other."""
    if heading.field is Field.LUX:
        return (heading.factor != 1.0, heading.factor)
    return () if heading.field in MEASURED else (heading.rank,)


def _said_twice(field: Field, at: list[int], headings: list[str], where: str) -> Problem:
    named = " and ".join(f"column {i + 1} ({headings[i].strip()!r})" for i in at)
    return Problem(
        where=where,
        says=f"{named} both give {field}",
        allowed=f"one column for {field}; take the others out, or give them other headings",
    )


def _tell_tristimulus(headings: list[str], found: _Found) -> list[Heading | None]:
    """Tell X, Y, Z from x, y by case, the one place where case matters.

    Only all three in capitals are tristimulus values. Without them, Y beside a small y is a luminance
    (as in "x, y, Y") and z is not needed: both are left out.
    """
    big = {Field.X: Field.BIG_X, Field.Y: Field.BIG_Y, Field.BIG_Z: Field.BIG_Z}
    capitals = {
        i: big[heading.field]
        for i, (text, heading) in enumerate(zip(headings, found, strict=True))
        if heading is not None and heading.field in big and re.search("[XYZ]", letters(text))
    }
    out = list(found)
    small_y = any(h is not None and h.field is Field.Y and i not in capitals for i, h in enumerate(found))
    for i, heading in enumerate(found):
        if heading is None:
            continue
        if i in capitals and set(capitals.values()) == set(big.values()):
            out[i] = replace(heading, field=capitals[i])
        elif heading.field is Field.BIG_Z or (capitals.get(i) is Field.BIG_Y and small_y):
            out[i] = None
    return out


def _meaning(heading: Heading) -> str:
    if heading.factor == FOOT_CANDLE:
        return f"{heading.field} [fc, read as lx]"
    if heading.reference:
        return f"{heading.field} against {heading.reference}"
    unit = _SHOWN_UNITS.get(heading.field, "")
    return f"{heading.field}{unit}" + ("" if heading.factor == 1.0 else f", × {heading.factor:g}")
