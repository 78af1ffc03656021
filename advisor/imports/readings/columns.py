"""The columns of a table, understood together: which are used, which are not, which contradict."""

import re
from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from ...model import Problem, Refused
from ...model.units import FOOT_CANDLE
from ..vocabulary.headings import DERIVED, FIGURES, MEASURED, Field, Heading, letters, understand
from .answers import chosen_column, column_key, heading_said, value_of
from .result import Answers, Sure, Understood

_Found = Sequence[Heading | None]
_SHOWN_UNITS = {Field.CCT: " [K]", Field.LUX: " [lx]", Field.LEVEL: " [%]", Field.DIAL_CCT: " [K]"}


@dataclass(frozen=True)
class Columns:
    """`used[field]` is (position, factor); `taken` and `unused` say of each column what it was taken for.

    `ssi_reference` is what the SSI that is used was taken against.
    """

    used: dict[Field, tuple[int, float]]
    taken: list[Understood]
    unused: list[Understood] = field(default_factory=list)
    ssi_reference: str | None = None


def resolve(headings: list[str], *, where: str, answers: Answers | None = None) -> Columns:
    """Understand all headings of a table together; `answers` say what a column holds, whatever its heading.

    Where several columns can be the name, kind or note, the likeliest is taken; of lux and foot-candles,
    lux; of several Ra or SSI, the first of the likeliest. SSI counts only if it names its reference.
    Raises Refused, naming both, if two columns say the same thing.
    """
    said = {i: value for i in range(len(headings)) if (value := chosen_column(answers or {}, i))}
    found = _tell_tristimulus(headings, [understand(h) for h in headings])
    found = [heading_said(said[i]) if i in said else heading for i, heading in enumerate(found)]
    places: dict[Field, list[tuple[int, Heading]]] = {}
    for i, heading in enumerate(found):
        if heading is not None:
            places.setdefault(heading.field, []).append((i, heading))
    used: dict[Field, tuple[int, float]] = {}
    notes: dict[int, str] = {}
    problems: list[Problem] = []
    reference: str | None = None
    for what, at in places.items():
        if what in DERIVED:
            notes |= {i: DERIVED[what] for i, _ in at}
            continue
        if what is Field.SSI:
            bare = [i for i, heading in at if heading.reference is None]
            notes |= dict.fromkeys(bare, "SSI needs its reference in the heading, as in SSI P3200")
            at = [place for place in at if place[0] not in bare]
            if not at:
                continue
        at.sort(key=lambda place: (place[0] not in said, *_preference(place[1])))
        (first, best), rest = at[0], at[1:]
        same = (first in said, _preference(best))
        twice = [i for i, heading in rest if (i in said, _preference(heading)) == same]
        if twice and what not in FIGURES:
            problems.append(_said_twice(what, sorted([first, *twice]), headings, where))
        used[what] = (first, best.factor)
        reference = best.reference or reference
        notes |= {i: f"{headings[first].strip()} is used as the {what}" for i, _ in rest}
    if problems:
        raise Refused(problems)
    taken, unused = [], []
    for i, (text, heading) in enumerate(zip(headings, found, strict=True)):
        answer = said.get(i, "")
        if i not in notes and heading is not None:
            taken.append(_understood(i, text, heading, answer))
        elif text.strip():
            sure = Sure.CHOSEN if answer else Sure.LEFT_OUT
            shown = Understood(heading=text.strip(), meaning="", key=column_key(i), sure=sure)
            unused.append(shown.model_copy(update={"why": notes.get(i, ""), "answer": answer}))
    return Columns(used, taken, unused, reference)


def _understood(at: int, text: str, heading: Heading, answer: str) -> Understood:
    return Understood(
        heading=text.strip(),
        meaning=_meaning(heading),
        key=column_key(at),
        field=value_of(heading),
        sure=Sure.CHOSEN if answer else Sure.SAID,
        answer=answer,
    )


def _preference(heading: Heading) -> tuple[float, ...]:
    """Rank two columns of one field: the lower is taken, and equal ones contradict each other."""
    if heading.field is Field.LUX:
        return (heading.factor != 1.0, heading.factor)
    return () if heading.field in MEASURED else (heading.rank,)


def _said_twice(what: Field, at: list[int], headings: list[str], where: str) -> Problem:
    named = " and ".join(f"column {i + 1} ({headings[i].strip()!r})" for i in at)
    return Problem(
        where=where,
        says=f"{named} both give {what}",
        allowed=f"one column for {what}; take the others out, or give them other headings",
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
