"""Readings from messages: every line by itself, so that one which is not understood costs no other."""

from collections.abc import Sequence
from dataclasses import dataclass, field

from ...model import Problem, Refused
from ..grids.source_lines import SourceLines
from ..messages.lines import Said, said_in
from ..messages.stitched import stitched
from ..messages.threads import as_corrected, corrected_by, threaded
from ..sentences.spoken import IN_DOUBT, NOT_SURE, SWAPPED, TWO_CCTS, UNCLEAR, Spoken
from ..sentences.values import value_of
from ..sources.build import Built, Given, RowOfCells, build
from ..text.cells import Cell, decimal_mark
from ..vocabulary.headings import NUMBERS, Field
from .answers import cell_key
from .gathered import Gathered
from .joining import BuiltRow
from .lacking import (
    DUV,
    NO,
    POINTS,
    YES,
    correction_question,
    duv_question,
    points_question,
    primes_question,
    range_question,
    scale_question,
    sure_question,
    thousandths_question,
)
from .result import Answers, PassedOver, PasteQuestion
from .scales import of_duv

MOST_ROWS = 500
"""The most readings in one text."""
_MOST_SAID = 20
_MOST_TALK = 500
_UNREAD = "it was not read"
_SHOWN = 40
_MOST_ASKED = 100
_MOST_CC = 20.0
"""No light on set is further off without its gel being said. From memory. [CC]"""
_LOWEST_VPRIME, _HIGHEST_VPRIME = 0.42, 0.58
"""Whites have v of 0.29 to 0.37 in 1960, and half as much again as v′ in 1976."""
_ALLOWED = "a name, CCT, Duv and lux, as in key 5480 +.004 850 lx"


def read_messages(lines: SourceLines, answers: Answers, *, stitch: bool = True) -> Gathered | None:
    """Read the messages of a text; None if no line of it tells a reading.

    With `stitch` several lines may tell one reading together.
    """
    said = stitched(_told(lines)) if stitch else _told(lines)
    shown = dict(zip(lines.numbers, lines.shown, strict=True))
    corrected = _corrections(said, answers)
    threaded(said)
    primes = _primes(said, answers)
    whole = any(each.whole for line in said for each in line.spoken)
    if not whole and not _lacks_duv(said) and not corrected.asked and not primes and not _nearly(said):
        return None
    pairs = [(f, t) for line in said for each in line.spoken for f, t in each.cells.items() if f in NUMBERS]
    mark, rows = decimal_mark(pairs), Gathered.under(answers)
    rows.asked += [*corrected.asked, *primes]
    _ranges(rows, said, answers)
    _scale(rows, said, answers)
    _thousandths(rows, said, answers)
    _sure(rows, said, answers)
    pointed = [each for line in said for each in line.spoken if each.points and not each.bad]
    if pointed:
        rows.asked.append(_of_lines(points_question(len(pointed), answers), said, pointed))
    lacking = [each for line in said if line.tries for each in line.spoken if _lacks(each)]
    if lacking:
        rows.asked.append(_of_lines(duv_question(len(lacking), answers), said, lacking))
    for line in said:
        if line.tries and line.line not in corrected.lines:
            text = "\n".join(shown[at] for at in line.lines or (line.line,))
            for part, spoken in enumerate(line.spoken):
                if spoken.bad == _UNREAD:
                    rows.left_out.append(PassedOver(line=line.line, text=text.strip(), why=_UNREAD))
                else:
                    _add(rows, line, spoken, (part, text), mark, answers)
        else:
            why = corrected.lines.get(line.line, "no reading in it")
            rows.left_out.append(PassedOver(line=line.line, text=shown[line.line].strip(), why=why))
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
            raise Refused.one("text", says, f"at most {MOST_ROWS} readings. Give it in parts")
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
    return bool(spoken.name) and not spoken.bad and not spoken.coloured and Field.CCT in spoken.cells


def _lacks(spoken: Spoken) -> bool:
    """Whether its Duv is to be asked for, beside which of two CCTs was meant."""
    if spoken.ranges and spoken.bad == TWO_CCTS:
        return bool(spoken.name) and not spoken.coloured
    return _cct_alone(spoken)


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
    row = f"{line.line}.{part}" if part else str(line.line)
    mended = {field: cell_key(row, field) for field in Field}
    cells |= {f: Cell(answers[key], f"{where}, {f}") for f, key in mended.items() if key in answers}
    if answers.get(DUV) == "0" and _cct_alone(spoken):
        cells.setdefault(Field.DUV, Cell("0", where))
    if spoken.points and not spoken.bad and answers.get(POINTS) != "cc":
        spoken.bad = "it is not clear how much green a point is"
    if spoken.bad:
        built = Built(None, [Problem(where=where, says=spoken.bad, allowed=_ALLOWED)], None)
    else:
        built = build(RowOfCells(cells, where, rows.next_names()[0]), Given({}, mark))
    # Of what is not clear the line is mended: its figures may be another's.
    if spoken.bad:
        cells = {field: cell for field, cell in cells.items() if field is Field.NAME}
    rows.add([BuiltRow(line.line, shown, built, cells, part)])
    if not spoken.bad and len(rows.meanings) < _MOST_SAID:
        rows.meanings |= {
            (text, field.value): None for field, text in texts.items() if field is not Field.TIME
        }


def _ranges(rows: Gathered, said: Sequence[Said], answers: Answers) -> None:
    """Ask which figure is meant where a range is told, and take the one that was answered.

    A reading whose light is in doubt is read without it.
    """
    told = [(line, at, e, two) for line in said for at, e in enumerate(line.spoken) for two in e.ranges]
    for line, at, each, two in told[:_MOST_ASKED]:
        if each.bad not in ("", UNCLEAR.get(two.field, "")):
            continue
        question = range_question(f"range-{line.line}.{at}.{two.field.name}".lower(), each.name, two, answers)
        rows.asked.append(question.model_copy(update={"lines": [line.line]}))
        if question.answer:
            each.ranges = [other for other in each.ranges if other is not two]
            each.bad = next((UNCLEAR[left.field] for left in each.ranges if left.field in UNCLEAR), "")
            ends = {"first": two.first, "second": two.second}
            each.cells[two.field] = ends.get(question.answer, each.cells[two.field])
        if (not question.answer and two.field is Field.LUX) or question.answer == "none":
            del each.cells[Field.LUX]


def _sure(rows: Gathered, said: Sequence[Said], answers: Answers) -> None:
    """Ask whether a reading was read that is told as if it might not have been, and do what was answered."""
    told = [(line, at, e) for line in said for at, e in enumerate(line.spoken)]
    for line, at, each in [t for t in told if t[2].bad == NOT_SURE and t[2].coloured][:_MOST_ASKED]:
        question = sure_question(f"sure-{line.line}.{at}", line.message.text[:_SHOWN], answers)
        rows.asked.append(question.model_copy(update={"lines": [line.line]}))
        each.bad = {YES: "", NO: _UNREAD}.get(question.answer, each.bad)


def _scale(rows: Gathered, said: Sequence[Said], answers: Answers) -> None:
    """Ask how many to one signed whole numbers count Duv, where one is too high for thousandths."""
    scaled = [e for line in said for e in line.spoken if e.scaled and not e.bad and Field.CC in e.cells]
    high = next((e.cells[Field.CC] for e in scaled if abs(value_of(e.cells[Field.CC])) > _MOST_CC), "")
    if not high:
        return
    question = _of_lines(scale_question(high, answers), said, scaled)
    rows.asked.append(question)
    for each in scaled:
        if not question.answer:
            each.bad = f"it is not clear what {each.cells[Field.CC]!r} is"
        elif question.answer == "tenths":
            each.cells[Field.CC] = f"{value_of(each.cells[Field.CC]) / 10:g}"


def _thousandths(rows: Gathered, said: Sequence[Said], answers: Answers) -> None:
    """Ask whether Duvs that are all too large are in thousandths: "duv 3.1"."""
    given = [e for line in said for e in line.spoken if not e.bad and Field.DUV in e.cells]
    choices = of_duv([value_of(each.cells[Field.DUV]) for each in given])
    if not choices:
        return
    question = thousandths_question(given[0].cells[Field.DUV], choices[0], answers)
    rows.asked.append(_of_lines(question, said, given))
    for each in given:
        if question.answer == choices[0].value:
            each.cells[Field.DUV] = f"{value_of(each.cells[Field.DUV]) / 1000:g}"


def _primes(said: Sequence[Said], answers: Answers) -> list[PasteQuestion]:
    """Ask whether u and v, whose v no white has in 1960, are u′ and v′; change them as was answered."""
    given = [
        each
        for line in said
        for each in line.spoken
        if not each.bad
        and {Field.U60, Field.V60} <= set(each.cells)
        and not {Field.CCT, Field.MIRED} & set(each.cells)
    ]
    high = [each for each in given if _LOWEST_VPRIME < value_of(each.cells[Field.V60]) < _HIGHEST_VPRIME]
    if not high:
        return []
    shown = high[0].cells[Field.V60]
    question = _of_lines(primes_question(shown, answers), said, high)
    for each in high:
        if question.answer == YES:
            u, v = each.cells.pop(Field.U60), each.cells.pop(Field.V60)
            each.cells |= {Field.U76: u, Field.V76: v}
        elif question.open:
            each.bad = "it is not clear whether u and v are those of 1960"
    return [question]


def _of_lines(question: PasteQuestion, said: Sequence[Said], held: Sequence[Spoken]) -> PasteQuestion:
    """Return a question with the lines that tell the readings it holds back."""
    those = {id(each) for each in held}
    lines = [line.line for line in said if any(id(each) in those for each in line.spoken)]
    return question.model_copy(update={"lines": lines})


@dataclass
class _Corrected:
    """The questions about corrections, and the `lines` that correct, each with what became of it."""

    asked: list[PasteQuestion] = field(default_factory=list)
    lines: dict[int, str] = field(default_factory=dict)


def _corrections(said: Sequence[Said], answers: Answers) -> _Corrected:
    """Find what lines correct, change the readings as was answered, and ask where nothing was.

    A reading whose correction is not answered says so and is not read. A correction that finds no reading
    and is a whole one is a reading itself; what else finds none stays unclear.
    """
    out = _Corrected()
    before: list[Spoken] = []
    for line in said:
        if line.corrects is None:
            before += [each for each in line.spoken if each.cells]
            continue
        if line.corrects.swaps:
            for each in before[-2:]:
                each.bad = each.bad or SWAPPED
            continue
        target = corrected_by(line, before)
        if len(out.asked) == _MOST_ASKED:
            allowed = f"at most {_MOST_ASKED}. Give the corrected readings alone"
            raise Refused.one("text", f"the text has more than {_MOST_ASKED} corrections", allowed)
        if target is not None:
            _ask(out, line, target, answers, said)
        elif not line.spoken:
            out.lines[line.line] = "no reading in it"
        elif line.corrects.wished:
            line.spoken[0].bad = NOT_SURE
        elif not line.spoken[0].whole:
            line.spoken[0].bad = "it is not clear which reading it corrects"
    return out


def _ask(out: _Corrected, line: Said, target: Spoken, answers: Answers, said: Sequence[Said]) -> None:
    assert line.corrects is not None, "the line corrects something"
    by, renames = (line.spoken[0] if line.spoken else None), line.corrects.renames
    question = correction_question(line.line, (target, by, renames), answers, wished=line.corrects.wished)
    out.asked.append(_of_lines(question, said, [target]))
    answer = question.answer
    out.lines[line.line] = "a correction"
    if not answer:
        target.bad = target.bad or f"line {line.line} corrects it"
    elif answer == YES and renames:
        target.name = renames
    elif answer == YES and by is not None:
        target.cells = as_corrected(target, by)
    elif answer == YES:
        target.cells = {f: t for f, t in target.cells.items() if f is Field.NOTE}
