"""Readings from messages: every line by itself, so that one which is not understood costs no other."""

from collections.abc import Sequence

from ...model import Problem, Refused
from ..grids.source_lines import SourceLines
from ..messages.lines import Said, said_in
from ..messages.spoken import Spoken
from ..sources.build import Built, Given, build
from ..text.cells import Cell, decimal_mark
from ..vocabulary.headings import NUMBERS, Field
from .answers import cell_key
from .doubts import DUV, duv_question
from .gathered import Gathered
from .result import Answers, PassedOver

MOST_ROWS = 500
"""The most readings in one text."""
_MOST_SAID = 20
_MOST_TALK = 500
_ALLOWED = "a name, CCT, Duv and lux, as in key 5480 +.004 850 lx"


def read_messages(lines: SourceLines, answers: Answers) -> Gathered | None:
    """Read the messages of a text; None if no line of it tells a reading."""
    said = _told(lines)
    if not any(each.whole for line in said for each in line.spoken) and not _lacks_duv(said):
        return None
    shown = dict(zip(lines.numbers, lines.shown, strict=True))
    pairs = [(f, t) for line in said for each in line.spoken for f, t in each.cells.items() if f in NUMBERS]
    mark = decimal_mark(pairs)
    rows = Gathered.under(answers)
    lacking = sum(_cct_alone(each) for line in said if line.tries for each in line.spoken)
    if lacking:
        rows.asked.append(duv_question(lacking, answers))
    for line in said:
        if line.tries:
            for part, spoken in enumerate(line.spoken):
                _add(rows, line, spoken, (part, shown[line.line]), mark, answers)
        else:
            rows.left_out.append(
                PassedOver(line=line.line, text=shown[line.line].strip(), why="no reading in it")
            )
    rows.settle(answers)
    return rows


def _told(lines: SourceLines) -> list[Said]:
    """Return what the lines say; nothing where the first of them say nothing. Raises Refused for too many."""
    out: list[Said] = []
    count = 0
    for each in said_in(lines.texts, lines.numbers):
        out.append(each)
        count += len(each.spoken) if each.tries else 0
        if count > MOST_ROWS:
            says = f"the text has more than {MOST_ROWS} readings"
            raise Refused.one("text", says, f"at most {MOST_ROWS} readings; give it in parts")
        if len(out) == _MOST_TALK and not count:
            return []
    return out


def _lacks_duv(said: Sequence[Said]) -> bool:
    """Whether all that is told are CCTs by name: the Duv can be asked for."""
    told = [each for line in said for each in line.spoken if line.tries]
    return bool(told) and all(map(_cct_alone, told))


def _cct_alone(spoken: Spoken) -> bool:
    return bool(spoken.name) and not spoken.bad and not spoken.coloured and Field.CCT in spoken.cells


def _add(
    rows: Gathered, line: Said, spoken: Spoken, at: tuple[int, str], mark: str | None, answers: Answers
) -> None:
    where = f"line {line.line}"
    part, shown = at
    texts = dict(spoken.cells)
    texts |= {Field.NAME: spoken.name} if spoken.name else {}
    texts |= {Field.NOTE: spoken.note} if spoken.note else {}
    texts |= {Field.TIME: line.message.time} if line.message.time else {}
    texts |= {Field.GEL: " + ".join(spoken.gels)} if spoken.gels else {}
    cells = {field: Cell(text, f"{where}, {field}") for field, text in texts.items()}
    row = f"{line.line}.{part}" if part else str(line.line)
    mended = {field: cell_key(row, field) for field in Field}
    cells |= {f: Cell(answers[key], f"{where}, {f}") for f, key in mended.items() if key in answers}
    if answers.get(DUV) == "0" and _cct_alone(spoken):
        cells.setdefault(Field.DUV, Cell("0", where))
    if spoken.bad:
        built = Built(None, [Problem(where=where, says=spoken.bad, allowed=_ALLOWED)], None)
    else:
        built = build(cells, Given({}, mark), where=where, name=rows.next_name)
    rows.add(line.line, shown, built, cells, part=part)
    if not spoken.bad and len(rows.meanings) < _MOST_SAID:
        rows.meanings |= {
            (text, field.value): None for field, text in texts.items() if field is not Field.TIME
        }
