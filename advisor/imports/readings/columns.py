"""The columns of a table, understood together: which are used, which are not, which are to be asked about."""

import re
from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from ...model.basis.units import FOOT_CANDLE
from ..grids.contents import by_content, is_number_name, kind_in
from ..text.cells import Cell, plain_number
from ..vocabulary.headings import (
    DERIVED,
    FIGURES,
    MEASURED,
    Field,
    Heading,
    is_exposure,
    letters,
    understand,
)
from ..vocabulary.languages import folded
from ..vocabulary.qualifiers import Qualified, Qualifier, is_ten, qualified
from ..vocabulary.tags import level_in
from .answers import chosen_column, column_key, heading_said, value_of
from .result import Answers, PasteQuestion, Reply, Sure, Understood

_Found = Sequence[Heading | None]
_SHOWN_UNITS = {Field.CCT: " [K]", Field.LUX: " [lx]", Field.LEVEL: " [%]", Field.DIAL_CCT: " [K]"}
_PARTNER = {Field.MIRED: Field.CCT, Field.CC: Field.DUV}
_WHY = {
    Qualifier.ERROR: "it says how far off, not what was read",
    Qualifier.TARGET: "it says what is wanted, not what was read",
}
_EXPOSURE = "an exposure value is no illuminance"
_SAMPLED = 50
Cells = Sequence[Sequence[str]]


@dataclass(frozen=True)
class Columns:
    """`used[field]` is (position, factor); `taken` and `unused` say of each column what it was taken for.

    `ssi_reference` is what the SSI that is used was taken against. `asked` is what nobody can tell of the
    columns; no row can be read before those of the keys `stopping` are answered.
    """

    used: dict[Field, tuple[int, float]]
    taken: list[Understood]
    unused: list[Understood] = field(default_factory=list)
    ssi_reference: str | None = None
    asked: list[PasteQuestion] = field(default_factory=list)
    stopping: frozenset[str] = frozenset()

    @property
    def open(self) -> list[PasteQuestion]:
        """What must be answered before a row can be read."""
        return [question for question in self.asked if question.key in self.stopping and question.open]


@dataclass
class _Work:
    """Headings on their way: what each was `found` to be, how `sure`, and what is said of those left out."""

    headings: list[str]
    found: list[Heading | None]
    cells: Cells
    answers: Answers
    said: dict[int, str]
    sure: dict[int, Sure] = field(default_factory=dict)
    notes: dict[int, str] = field(default_factory=dict)
    asked: list[PasteQuestion] = field(default_factory=list)


def resolve(
    headings: list[str], *, answers: Answers | None = None, cells: Cells | None = None, first: int = 0
) -> Columns:
    """Understand all headings of a table together; `answers` say what a column holds, whatever its heading.

    `cells` are those of each column: what they hold tells columns whose headings nobody knows. `first` is the
    number of the first column for answers. Where several columns can be the name, kind or note, the likeliest
    is taken; of lux and foot-candles, lux; of several Ra or SSI, the first of the likeliest. SSI counts only
    if it names its reference. Two columns that say the same thing, and not alike, are asked about.
    """
    answers = answers or {}
    said = {i: value for i in range(len(headings)) if (value := chosen_column(answers, first + i))}
    found = _tell_tristimulus(headings, [understand(h) for h in headings])
    found = [heading_said(said[i]) if i in said else heading for i, heading in enumerate(found)]
    work = _Work(headings, found, cells or [[] for _ in headings], answers, said)
    _qualify(work)
    _free_light(work)
    for i, proposed in by_content(headings, _with_said(work), work.cells).items():
        work.found[i], work.sure[i] = proposed, Sure.LIKELY
    _tell_gels(work)
    _take_numbers(work)
    _propose_levels(work)
    used, reference = _use(work)
    _leave_gels(work, used)
    taken, unused = [], []
    for i, (text, heading) in enumerate(zip(headings, work.found, strict=True)):
        answer = said.get(i, "")
        if i not in work.notes and heading is not None:
            sure = Sure.CHOSEN if answer else work.sure.get(i, Sure.SAID)
            taken.append(_understood(first + i, text, heading, sure, answer))
        elif text.strip():
            sure = Sure.CHOSEN if answer else Sure.LEFT_OUT
            shown = Understood(heading=text.strip(), meaning="", key=column_key(first + i), sure=sure)
            why = work.notes.get(i, _EXPOSURE if is_exposure(text) else "")
            unused.append(shown.model_copy(update={"why": why, "answer": answer}))
    stopping = frozenset(question.key for question in work.asked)
    return Columns(used, taken, unused, reference, work.asked, stopping)


def _free_light(work: _Work) -> None:
    """Take no column for names that holds lux with their unit: "Light" may head either."""
    for i, heading in enumerate(work.found):
        if heading is not None and heading.field is Field.NAME and i not in work.said:
            cells = [cell for cell in work.cells[i] if not Cell(cell, "").empty]
            if kind_in(cells[:_SAMPLED]) is Field.LUX:
                work.found[i] = None


def _tell_gels(work: _Work) -> None:
    """Take a column of modifiers for gels where it names nothing else: a "Filter" may be either."""
    if any(heading is not None and heading.field is Field.GEL for heading in work.found):
        return
    for i, heading in enumerate(work.found):
        if heading is not None and heading.field is Field.MODIFIER and i not in work.said:
            cells = [cell for cell in work.cells[i] if not Cell(cell, "").empty]
            work.found[i] = Heading(Field.GEL) if kind_in(cells[:_SAMPLED]) is Field.GEL else heading


def _take_numbers(work: _Work) -> None:
    """Take numbers of channels or units for names, where nothing else names the rows."""
    if any(heading is not None and heading.field is Field.NAME for heading in work.found):
        return
    for i, heading in enumerate(work.headings):
        free = work.found[i] is None and i not in work.said and i not in work.notes
        if free and is_number_name(heading, work.cells[i]):
            work.found[i] = Heading(Field.NAME, rank=900)
            return


def _propose_levels(work: _Work) -> None:
    """Take up a column that gives a dim level in another way than per cent, where no plain one does."""
    if any(heading is not None and heading.field is Field.LEVEL for heading in work.found):
        return
    for i, heading in enumerate(work.headings):
        if work.found[i] is None and i not in work.said and i not in work.notes:
            cells = [cell for cell in work.cells[i] if not Cell(cell, "").empty]
            values = [value for cell in cells if (value := plain_number(cell)) is not None]
            found = level_in(folded(heading[:60]), cells, values)
            if found is not None:
                work.found[i] = Heading(Field(found.tag.value), found.factor)
                work.sure[i] = Sure.LIKELY
                return


def _with_said(work: _Work) -> list[Heading | None]:
    """Return what was found; a column that was said to be left out, or was, is no gap to be filled."""
    gone = {i for i, value in work.said.items() if value} | set(work.notes)
    return [
        h if h is not None or i not in gone else Heading(Field.NOTE, rank=999)
        for i, h in enumerate(work.found)
    ]


def _leave_gels(work: _Work, used: dict[Field, tuple[int, float]]) -> None:
    """Leave out which gel hung, where each row has a reading behind it and the bare one counts."""
    read = [_quality(work.headings[at]) for what, (at, _) in used.items() if what in MEASURED]
    if Field.GEL in used and Qualifier.BARE in read:
        at, _ = used.pop(Field.GEL)
        work.notes[at] = "the reading without it counts"


def _quality(heading: str) -> Qualifier | None:
    found = qualified(heading) if understand(heading) is None else None
    return found.quality if found else None


def _use(work: _Work) -> tuple[dict[Field, tuple[int, float]], str | None]:
    """Choose a column for each field."""
    places: dict[Field, list[tuple[int, Heading]]] = {}
    for i, heading in enumerate(work.found):
        if heading is not None and i not in work.notes:
            places.setdefault(heading.field, []).append((i, heading))
    used: dict[Field, tuple[int, float]] = {}
    reference: str | None = None
    for what, at in places.items():
        if what in DERIVED and _PARTNER[what] in places:
            work.notes |= {i: DERIVED[what] for i, _ in at}
            continue
        if what is Field.SSI:
            bare = [i for i, heading in at if heading.reference is None]
            work.notes |= dict.fromkeys(bare, "SSI needs its reference in the heading, as in SSI P3200")
            at = [place for place in at if place[0] not in bare]
            if not at:
                continue
        at.sort(key=lambda place: (place[0] not in work.said, *_preference(place[1])))
        (best_at, best), rest = at[0], at[1:]
        same = (best_at in work.said, _preference(best))
        twice = [(i, h) for i, h in rest if (i in work.said, _preference(h)) == same]
        if twice and what not in FIGURES:
            best_at, best = _ask_which(work, what, sorted([(best_at, best), *twice], key=lambda p: p[0]))
        used[what] = (best_at, best.factor)
        reference = best.reference or reference
        others = [i for i, _ in at if i != best_at]
        work.notes |= {i: f"{work.headings[best_at].strip()} is used as the {what}" for i in others}
    return used, reference


def _ask_which(work: _Work, what: Field, at: list[tuple[int, Heading]]) -> tuple[int, Heading]:
    """Ask which of some columns counts, unless they say the same; return the one that does for now."""
    if _alike(work.cells, [i for i, _ in at]):
        return at[0]
    key = f"which-{what.value}"
    answer = work.answers.get(key, "")
    chosen = next((place for place in at if str(place[0] + 1) == answer), None)
    named = " and ".join(f"column {i + 1} ({work.headings[i].strip()!r})" for i, _ in at)
    likely = _likeliest(work, at)
    work.asked.append(
        PasteQuestion(
            key=key,
            says=f"{named} both give {what}. Which one was read?",
            choices=[Reply(value=str(i + 1), words=work.headings[i].strip()[:60]) for i, _ in at],
            likely=str(likely + 1),
            answer=answer if chosen else "",
            lasting=True,
        )
    )
    return chosen or next(place for place in at if place[0] == likely)


def _likeliest(work: _Work, at: list[tuple[int, Heading]]) -> int:
    """Return the column that was likely read: the bare one before that behind gel, and no target."""
    order = [Qualifier.BARE, None, Qualifier.OTHER, Qualifier.GELLED, Qualifier.TARGET, Qualifier.ERROR]
    return min((i for i, _ in at), key=lambda i: order.index(_quality(work.headings[i])))


def _alike(cells: Cells, at: list[int]) -> bool:
    """Whether some columns hold the same cells, and any."""
    columns = [list(cells[i]) for i in at]
    return any(columns[0]) and all(column == columns[0] for column in columns[1:])


def _qualify(work: _Work) -> None:
    """Take up headings that say more than a field: "CCT target", "Duv with gel"."""
    unknown = {
        i: found
        for i, (heading, known) in enumerate(zip(work.headings, work.found, strict=True))
        if known is None
        and i not in work.said
        and not is_ten(heading)
        and (found := qualified(heading)) is not None
    }
    exact = {h.field for h in work.found if h is not None}
    for what in {found.heading.field for found in unknown.values()}:
        of_field = {i: found for i, found in unknown.items() if found.heading.field is what}
        errors = [i for i, found in of_field.items() if found.quality is Qualifier.ERROR]
        work.notes |= dict.fromkeys(errors, _WHY[Qualifier.ERROR])
        rest = {i: found for i, found in of_field.items() if i not in errors and _fits(work, i, found)}
        if what not in exact and len(rest) == 1:
            ((i, found),) = rest.items()
            if found.quality is Qualifier.TARGET:
                work.notes[i] = _WHY[Qualifier.TARGET]
                continue
        for i, found in rest.items():
            work.found[i] = found.heading
            work.sure[i] = Sure.LIKELY


def _fits(work: _Work, at: int, found: Qualified) -> bool:
    """Whether the cells of a column can be what its heading seems to say."""
    if found.quality is not Qualifier.OTHER:
        return True
    return any(re.search(r"\d", cell) for cell in work.cells[at])


def _understood(at: int, text: str, heading: Heading, sure: Sure, answer: str) -> Understood:
    return Understood(
        heading=text.strip(),
        meaning=_meaning(heading),
        key=column_key(at),
        field=value_of(heading),
        sure=sure,
        answer=answer,
    )


def _preference(heading: Heading) -> tuple[float, ...]:
    """Rank two columns of one field: the lower is taken, and equal ones contradict each other."""
    if heading.field is Field.LUX:
        return (heading.factor != 1.0, heading.factor)
    return () if heading.field in MEASURED else (heading.rank,)


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
