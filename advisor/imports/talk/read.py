"""Readings from messages: every line by itself, so that one which is not understood costs no other."""

from collections.abc import Sequence

from ...model import Problem
from ..grids.source_lines import SourceLines
from ..messages.lines import Said, said_in
from ..messages.stitched import stitched
from ..messages.threads import threaded
from ..readings.answers import cell_key, mended_cells
from ..readings.gathered import Gathered
from ..readings.joining import BuiltRow
from ..readings.lacking import DUV, ZERO, duv_question
from ..readings.result import Answers, PassedOver
from ..readings.too_many import MOST_ROWS, about_first, only_first, too_many
from ..sentences.spoken import IN_DOUBT, TWO_CCTS, Spoken
from ..sources.build import Built, Given, RowOfCells, build
from ..text.cells import Cell, decimal_mark
from ..vocabulary.headings import NUMBERS, Field
from .asked import (
    UNREAD,
    ask_far,
    ask_hung,
    ask_primes,
    ask_ranges,
    ask_scale,
    ask_sure,
    ask_thousandths,
    of_lines,
)
from .better_names import ask_typed, without_talk
from .corrected import corrections
from .lights import give_light, tell_lights
from .listed import with_lists_told
from .paired import with_pairs_told
from .proposed import proposals
from .questions import POINTS, points_question
from .sections import ask_sections
from .signs import ask_sign
from .unsure import doubt, passed_by

NOT_TAKEN = "no reading took it"
"""Why a figure is left out that looks like a colour."""
_MOST_SAID = 20
_MOST_TALK = 500
_ALLOWED = "a name, CCT, Duv and lux, as in key 5480 +.004 850 lx"


def read_messages(lines: SourceLines, answers: Answers, *, stitch: bool = True) -> Gathered | None:
    """Read the messages of a text; None if no line of it tells a reading.

    With `stitch` several lines may tell one reading together.
    """
    said = stitched(_told(lines, answers)) if stitch else _told(lines, answers)
    shown = dict(zip(lines.numbers, lines.shown, strict=True))
    corrected = corrections(said, answers)
    without_talk(said)
    threaded(said)
    primes = ask_primes(said, answers)
    proposed = proposals(said, corrected.told, answers)
    proposed += ask_sections(said, answers)
    typed = ask_typed(said, answers)
    doubt(said, corrected.told | {line for question in proposed for line in question.lines})
    lit = give_light(said)
    alone = tell_lights(said)
    whole = any(each.whole for line in said for each in line.spoken)
    if (
        not whole
        and not _lacks_duv(said)
        and not corrected.asked
        and not primes
        and not proposed
        and not _nearly(said)
        and not alone
        and not typed
    ):
        return None
    pairs = [(f, t) for line in said for each in line.spoken for f, t in each.cells.items() if f in NUMBERS]
    mark, rows = decimal_mark(pairs), Gathered.under(answers)
    rows.asked += [*typed, *corrected.asked, *primes, *proposed]
    ask_ranges(rows, said, answers)
    ask_scale(rows, said, answers)
    ask_thousandths(rows, said, answers)
    ask_far(rows, said, answers)
    ask_sign(rows, said, answers)
    ask_sure(rows, said, answers)
    ask_hung(rows, said, answers)
    pointed = [each for line in said for each in line.spoken if each.points and not each.bad]
    if pointed:
        rows.asked.append(of_lines(points_question(len(pointed), answers), said, pointed))
    tried = [(_row_key(line, at), each) for line in said if line.tries for at, each in enumerate(line.spoken)]
    lacking = [each for row, each in tried if _lacks(each) and cell_key(row, Field.DUV) not in answers]
    if lacking:
        held = [each for each in lacking if not each.plain]
        question = duv_question([each.name for each in lacking], answers, blocks=bool(held))
        rows.asked.append(of_lines(question, said, held or lacking))
    elsewhere = {**corrected.lines, **lit}
    for line in said:
        if line.tries and line.line not in elsewhere:
            text = "\n".join(shown[at] for at in line.lines or (line.line,))
            for part, spoken in enumerate(line.spoken):
                if spoken.bad == UNREAD:
                    rows.left_out.append(PassedOver(line=line.line, text=text.strip(), why=UNREAD))
                else:
                    _add(rows, line, spoken, (part, text), mark, answers)
            rows.left_out += [
                PassedOver(line=line.line, text=each, why=NOT_TAKEN) for each in passed_by(line)
            ]
        else:
            why = elsewhere.get(line.line, "no reading in it")
            rows.left_out.append(PassedOver(line=line.line, text=shown[line.line].strip(), why=why))
    last = max(said[-1].line, *said[-1].lines, 0) if said else 0
    behind = [at for at in lines.numbers if only_first(answers) and at > last and shown[at].strip()]
    if behind:
        rows.leave_rest(behind[0], shown[behind[0]].strip())
    rows.shape += about_first([], answers)
    rows.settle(answers)
    return rows


def _told(lines: SourceLines, answers: Answers) -> list[Said]:
    """Return what the lines say; nothing where the first of them say nothing. Raises Refused for too many."""
    out: list[Said] = []
    count = 0
    for each in said_in(with_pairs_told(with_lists_told(lines.texts)), lines.numbers):
        out.append(each)
        count += len(each.spoken) if each.tries else 0
        if count > MOST_ROWS:
            if not only_first(answers):
                raise too_many(f"more than {MOST_ROWS} readings")
            return out[:-1]
        if len(out) == _MOST_TALK and not count:
            return []
    return out


def _lacks_duv(said: Sequence[Said]) -> bool:
    """Whether all that is told are CCTs by name: the Duv can be asked for."""
    told = [each for line in said for each in line.spoken if line.tries]
    return bool(told) and all(map(_cct_alone, told))


def _nearly(said: Sequence[Said]) -> bool:
    """Whether a reading is told in two ways, and which is meant is not clear: its row says so."""
    return any(each.name and each.bad in IN_DOUBT for line in said for each in line.spoken)


def _cct_alone(spoken: Spoken) -> bool:
    clear = not spoken.bad or spoken.proposed
    return bool(spoken.name) and clear and not spoken.coloured and Field.CCT in spoken.cells


def _lacks(spoken: Spoken) -> bool:
    """Whether its Duv is to be asked for, beside which of two CCTs was meant."""
    if spoken.ranges and spoken.bad == TWO_CCTS:
        return bool(spoken.name) and not spoken.coloured
    return _cct_alone(spoken) and not spoken.proposed


def _row_key(line: Said, part: int) -> str:
    return f"{line.line}.{part}" if part else str(line.line)


def _add(
    rows: Gathered, line: Said, spoken: Spoken, at: tuple[int, str], mark: str | None, answers: Answers
) -> None:
    where = f"line {line.line}"
    part, shown = at
    texts = spoken.cells | ({Field.NAME: spoken.name} if spoken.name else {})
    texts |= {Field.NOTE: spoken.note} if spoken.note else {}
    texts |= {Field.TIME: line.message.time} if line.message.time else {}
    texts |= {Field.GEL: " + ".join(spoken.gels)} if spoken.gels else {}
    cells = {field: Cell(text, f"{where}, {field}") for field, text in texts.items()}
    row = _row_key(line, part)
    mended = mended_cells(row, answers, {}, mark)
    cells |= {field: Cell(text, f"{where}, {field}") for field, text in mended.items()}
    zero = answers.get(DUV) == ZERO or (DUV not in answers and spoken.plain)
    assumed = zero and _cct_alone(spoken) and not {Field.DUV, Field.CC} & set(cells)
    if assumed:
        cells[Field.DUV] = Cell("0", where)
    if spoken.points and not spoken.bad and answers.get(POINTS) != "cc":
        spoken.bad = "it is not clear how much green a point is"
    if spoken.bad:
        built = Built(None, [Problem(where=where, says=spoken.bad, allowed=_ALLOWED)], None)
    else:
        told = RowOfCells(cells, where, rows.next_names()[0], duv_assumed=assumed)
        built = build(told, Given({}, mark))
    # Of what is not clear the line is mended: its figures may be another's.
    if spoken.bad:
        cells = {field: cell for field, cell in cells.items() if field is Field.NAME}
    rows.add([BuiltRow(line.line, shown, built, cells, part)])
    if not spoken.bad and len(rows.meanings) < _MOST_SAID:
        rows.meanings |= {
            (text, field.value): None for field, text in texts.items() if field is not Field.TIME
        }
