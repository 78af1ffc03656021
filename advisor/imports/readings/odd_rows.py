"""Rows in which one number makes another unlikely: what is asked of them, and how an answer leaves them.

Their x, y are of another light than CCT and Duv say; CCT and illuminance may stand in each other's column; a
Duv is far for a light without a gel.
"""

import re
from collections.abc import Container, Iterator, Mapping, Sequence
from dataclasses import replace

from pydantic_core import PydanticCustomError

from ...model import Problem
from ...model.basis.quantities import tidy
from ..grids.loci import apart, off_locus
from ..grids.table import Table
from ..text.cells import Cell, numbers_in
from ..text.lines import Record
from ..vocabulary.headings import Field
from .columns import Columns
from .result import Answers, PasteQuestion

_QUARREL = "quarrel"
_PAIRS = ((Field.X, Field.Y), (Field.U76, Field.V76))
"""Chromaticities that are held against CCT and Duv."""
_APART = 0.006
"""Further apart than any rounding leaves two ways to give one colour. [CIE 1960 u, v] From memory."""

_FAR_FROM_LOCUS = 0.02
"""Further from the locus than lamps for white light are. [CIE 1960 u, v] Our own judgement."""
_CROSSED = "crossed"
_YES, _NO = "yes", "no"
_HARDLY_A_CCT = re.compile(r"\s*(?:1[ ']?[0-7]\d{2}|(?:1[5-9]|2[0-5])[ ']?\d{3})(?:\s?K)?\s*")
"""Candles are no warmer than 1 800 K, and few skies bluer than 15 000 K. From memory."""
_LIKE_A_CCT = re.compile(r"\s*(?:1[ ']?[89]\d{2}|[2-9][ ']?\d{3}|1[0-2][ ']?\d{3})(?:\s?(?:lx|lux))?\s*")
_FAR = "far"
_TENTH, _AS_IS = "tenth", "no"


def contradictions(table: Table, columns: Columns, mark: str | None) -> Iterator[tuple[int, bool]]:
    """Yield the numbers of the rows whose x, y are those of another light than their CCT and Duv say.

    Beside each stands whether they are those of that light once they are swapped. So it is with u′, v′.
    Without a Duv any light of that CCT will do, as far from the locus as whites are.
    """
    pair = _pair_in(columns.used)
    if pair is not None and Field.CCT not in columns.used and Field.MIRED not in columns.used:
        yield from _swapped_alone(table, columns, pair, mark)
        return
    tint = next((field for field in (Field.DUV, Field.CC) if field in columns.used), None)
    if pair is None or Field.CCT not in columns.used:
        return
    ways = tuple(field for field in (Field.CCT, tint, *pair) if field is not None)
    used = {field: columns.used[field] for field in ways}
    cells = [{field: Cell(row.cell(at), "") for field, (at, _) in used.items()} for row in table.rows]
    read = numbers_in(cells, factors={field: factor for field, (_, factor) in used.items()}, mark=mark)
    most = _FAR_FROM_LOCUS if tint is None else _APART
    found: list[tuple[int, bool]] = []
    turned: list[tuple[int, bool]] = []
    for n, row in enumerate(read):
        values = [value for field in ways if not isinstance(value := row[field], PydanticCustomError)]
        if len(values) < len(ways):
            continue
        cct, *others = values
        duv, one, other = (0.0, *others) if tint is None else others
        duv = duv / 1000 if tint is Field.CC else duv
        off = apart(cct, duv, *_xy(pair, one, other))
        swapped = apart(cct, duv, *_xy(pair, other, one)) if one > 0 else off
        if off > most:
            found.append((n, swapped <= most))
        turned.append((n, swapped < off))
    # Two columns that are swapped are so in each row, though a light off the locus may hide it in some.
    whole = bool(found) and all(fits for _, fits in found) and all(nearer for _, nearer in turned)
    yield from turned if whole else found


def _swapped_alone(
    table: Table, columns: Columns, pair: tuple[Field, Field], mark: str | None
) -> Iterator[tuple[int, bool]]:
    """Yield all rows where each is nearer to the locus once its chromaticities are swapped, and some far."""
    used = {field: columns.used[field] for field in pair}
    cells = [{field: Cell(row.cell(at), "") for field, (at, _) in used.items()} for row in table.rows]
    read = numbers_in(cells, factors={field: factor for field, (_, factor) in used.items()}, mark=mark)
    offs: dict[int, tuple[float, float]] = {}
    for n, row in enumerate(read):
        one, other = row[pair[0]], row[pair[1]]
        if not isinstance(one, PydanticCustomError) and not isinstance(other, PydanticCustomError):
            offs[n] = off_locus(*_xy(pair, one, other)), off_locus(*_xy(pair, other, one))
    far = any(off > _FAR_FROM_LOCUS for off, _ in offs.values())
    if far and all(swapped < min(off, _FAR_FROM_LOCUS) for off, swapped in offs.values()):
        yield from ((n, True) for n in offs)


def _pair_in(used: Container[Field]) -> tuple[Field, Field] | None:
    """Return the chromaticities that a table gives; None where it gives none."""
    return next((pair for pair in _PAIRS if pair[0] in used and pair[1] in used), None)


def _xy(pair: tuple[Field, Field], one: float, other: float) -> tuple[float, float]:
    """Return x, y of one of `_PAIRS`; what is no colour becomes 0, 0."""
    if pair[0] is Field.X:
        return one, other
    below = 6 * one - 16 * other + 12
    return (9 * one / below, 4 * other / below) if below > 0 else (0.0, 0.0)


def ask_quarrel(columns: Columns, swapped: Sequence[bool], answers: Answers) -> Columns:
    """Ask which of two ways to give the colour counts, in rows where they contradict each other.

    Of each row it is known whether x and y would fit if they were swapped.
    """
    rows = f"{len(swapped)} {'row' if len(swapped) == 1 else 'rows'}"
    pair = " and ".join(_pair_in(columns.used) or ())
    alone = Field.CCT not in columns.used and Field.MIRED not in columns.used
    says = f"{pair} are not the colour that CCT and Duv say, in {rows}"
    ways = {"cct": "CCT and Duv", "xy": pair}
    if alone:
        says, ways = f"{pair} are far from white, in {rows}", {"xy": "As they stand"}
    if all(swapped):
        says, ways = f"{says}. Swapped they are", {"swap": f"Swap {pair}", **ways}
    likely = "swap" if all(swapped) else ""
    question = PasteQuestion.of(_QUARREL, says, ways, answers, likely=likely)
    return replace(columns, asked=[*columns.asked, question])


def settle_quarrel(
    record: Record, cells: dict[Field, Cell], answers: Answers
) -> tuple[dict[Field, Cell], Problem | None]:
    """Return the cells of a row that contradicts itself as the answer leaves them, or what is to be said."""
    pair = one, other = _pair_in(cells) or _PAIRS[0]
    if answers.get(_QUARREL) == "swap":
        return cells | {one: cells[other], other: cells[one]}, None
    gone = {"cct": pair, "xy": (Field.CCT, Field.DUV, Field.CC)}.get(answers.get(_QUARREL, ""))
    if gone is not None:
        return {f: cell for f, cell in cells.items() if f not in gone}, None
    whole = Field.CCT in cells or Field.MIRED in cells
    says = f"{one} and {other} are {'not the colour that CCT and Duv say' if whole else 'far from white'}"
    allowed = f"CCT and Duv, or {one} and {other}"
    return cells, Problem(where=f"line {record.line}", says=says, allowed=allowed)


def crossed_rows(rows: Sequence[Mapping[Field, Cell]], used: Mapping[Field, tuple[int, float]]) -> list[int]:
    """Return the numbers of rows that have an unlikely CCT beside an illuminance that would be a likely one.

    `used` are the columns by what they hold; those in other units than K and lx are left alone.
    """
    if any(used.get(field, (0, 0.0))[1] != 1.0 for field in (Field.CCT, Field.LUX)):
        return []
    return [
        number
        for number, row in enumerate(rows)
        if Field.CCT in row
        and Field.LUX in row
        and _HARDLY_A_CCT.fullmatch(row[Field.CCT].text)
        and _LIKE_A_CCT.fullmatch(row[Field.LUX].text)
    ]


def ask_crossed(columns: Columns, rows: Mapping[int, Mapping[Field, Cell]], answers: Answers) -> Columns:
    """Ask whether CCT and illuminance are swapped in some rows, by their lines."""
    first = next(iter(rows.values()))
    cct, lux = _bare(first[Field.CCT]).strip(), _bare(first[Field.LUX]).strip()
    lines = list(rows)
    where = f"Line {lines[0]}" if len(lines) == 1 else f"{len(lines)} rows such as line {lines[0]}"
    question = PasteQuestion.of(
        _CROSSED,
        f"{where}: {cct} K and {lux} lx, swapped?",
        {_YES: f"Swap them: {lux} K", _NO: "As it stands"},
        answers,
        likely=_YES,
    )
    return replace(columns, asked=[*columns.asked, question.model_copy(update={"lines": lines})])


def settle_crossed(
    record: Record, cells: dict[Field, Cell], answers: Answers
) -> tuple[dict[Field, Cell], Problem | None]:
    """Return the cells of such a row as the answer leaves them, or what is to be said."""
    answer = answers.get(_CROSSED, "")
    if answer == _YES:
        cct, lux = cells[Field.CCT], cells[Field.LUX]
        swapped = {Field.CCT: replace(lux, text=_bare(lux)), Field.LUX: replace(cct, text=_bare(cct))}
        return {**cells, **swapped}, None
    if answer == _NO:
        return cells, None
    says = "it is not clear which of its numbers is the CCT, and which the light"
    return cells, Problem(where=f"line {record.line}", says=says, allowed="CCT in K, illuminance in lx")


def _bare(cell: Cell) -> str:
    """Return the number of a cell without its unit, which is that of the other column now."""
    return re.sub(r"\s?(?:K|lx|lux)\s*$", "", cell.text)


def ask_far(columns: Columns, far: Mapping[int, float], lines: list[int], answers: Answers) -> Columns:
    """Ask of Duvs that are too far for lights without gels whether they lack a zero behind their point."""
    shown = tidy(next(iter(far.values())), 4)
    says = f"A Duv of {shown} is far for a light without a gel"
    if len(far) > 1:
        says = f"{len(far)} Duvs such as {shown} are far for lights without gels"
    choices = {_TENTH: f"A tenth: Duv {tidy(next(iter(far.values())) / 10, 4)}", _AS_IS: "As it stands"}
    question = PasteQuestion.of(_FAR, says, choices, answers, likely=_TENTH)
    return replace(columns, asked=[*columns.asked, question.model_copy(update={"lines": lines})])


def settle_far(
    record: Record, cells: dict[Field, Cell], duv: float, answers: Answers
) -> tuple[dict[Field, Cell], Problem | None]:
    """Return the cells of a row whose Duv is far as the answer leaves them, or what is to be said."""
    answer = answers.get(_FAR, "")
    where = f"line {record.line}"
    if answer == _TENTH:
        return {
            **cells,
            Field.DUV: replace(cells[Field.DUV], text=f"{cells[Field.DUV].text.strip()}e-1"),
        }, None
    if answer == _AS_IS:
        return cells, None
    says = f"it is not clear whether its Duv is {tidy(duv, 4)}"
    return cells, Problem(where=where, says=says, allowed="the Duv, or a tenth of it")
