"""Readings from messages: every line by itself, so that one which is not understood costs no other."""

from collections.abc import Sequence

from ...model import Problem
from ..grids.source_lines import SourceLines
from ..messages.grammar import Spoken
from ..messages.lines import Said, said_in
from ..text.cells import Cell, decimal_mark
from ..vocabulary.headings import NUMBERS, Field
from .gathered import Gathered
from .result import PassedOver
from .rows import Built, Given, build

_MOST_SAID = 20
_ALLOWED = "a name, CCT, Duv and lux, as in key 5480 +.004 850 lx"


def read_messages(lines: SourceLines) -> Gathered | None:
    """Read the messages of a text; None if no line of it tells a reading."""
    said = list(said_in(lines.texts, lines.numbers))
    if not any(each.whole for line in said for each in line.spoken) and not _lacks_duv(said):
        return None
    shown = dict(zip(lines.numbers, lines.shown, strict=True))
    pairs = [(f, t) for line in said for each in line.spoken for f, t in each.cells.items() if f in NUMBERS]
    mark = decimal_mark(pairs)
    rows = Gathered()
    for line in said:
        if line.tries:
            for part, spoken in enumerate(line.spoken):
                _add(rows, line, spoken, part, mark, shown[line.line])
        else:
            rows.left_out.append(
                PassedOver(line=line.line, text=shown[line.line].strip(), why="no reading in it")
            )
    return rows


def _lacks_duv(said: Sequence[Said]) -> bool:
    """Whether all that is told are CCTs by name: the Duv can be asked for."""
    told = [each for line in said for each in line.spoken if line.tries]
    return bool(told) and all(each.name and not each.bad and set(each.cells) & {Field.CCT} for each in told)


def _add(rows: Gathered, line: Said, spoken: Spoken, part: int, mark: str | None, shown: str) -> None:
    where = f"line {line.line}"
    texts = dict(spoken.cells)
    texts |= {Field.NAME: spoken.name} if spoken.name else {}
    texts |= {Field.NOTE: spoken.note} if spoken.note else {}
    texts |= {Field.TIME: line.message.time} if line.message.time else {}
    texts |= {Field.GEL: " + ".join(spoken.gels)} if spoken.gels else {}
    cells = {field: Cell(text, f"{where}, {field}") for field, text in texts.items()}
    if spoken.bad:
        built = Built(None, [Problem(where=where, says=spoken.bad, allowed=_ALLOWED)], None)
    else:
        built = build(cells, Given({}, mark), where=where, name=rows.next_name)
    rows.add(line.line, shown, built, cells, part=part)
    if not spoken.bad and len(rows.meanings) < _MOST_SAID:
        rows.meanings |= {
            (text, field.value): None for field, text in texts.items() if field is not Field.TIME
        }
