"""Readings from messages: every line by itself, so that one which is not understood costs no other."""

from collections.abc import Sequence
from dataclasses import dataclass, field

from ...model import Problem, Refused
from ..grids.source_lines import SourceLines
from ..messages.lines import Said, said_in
from ..messages.stitched import stitched
from ..messages.threads import as_corrected, corrected_by, says, threaded
from ..sentences.spoken import IN_DOUBT, NOT_SURE, TWO_CCTS, UNCLEAR, Spoken
from ..sentences.values import value_of
from ..sources.build import Built, Given, build
from ..text.cells import Cell, decimal_mark
from ..vocabulary.headings import NUMBERS, Field
from .answers import cell_key
from .gathered import Gathered
from .lacking import DUV, POINTS, duv_question, points_question, range_question, scale_question
from .result import Answers, PassedOver, PasteQuestion, Reply
from .scales import of_duv

MOST_ROWS = 500
"""The most readings in one text."""
_MOST_SAID = 20
_MOST_TALK = 500
_YES, _NO = "yes", "no"
_DUV_SCALE = "duv-thousandths"
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
    mark = decimal_mark(pairs)
    rows = Gathered.under(answers)
    rows.asked += [*corrected.asked, *primes]
    _ranges(rows, said, answers)
    _scale(rows, said, answers)
    _thousandths(rows, said, answers)
    pointed = sum(each.points and not each.bad for line in said for each in line.spoken)
    if pointed:
        rows.asked.append(points_question(pointed, answers))
    lacking = sum(_lacks(each) for line in said if line.tries for each in line.spoken)
    if lacking:
        rows.asked.append(duv_question(lacking, answers))
    for line in said:
        if line.line in corrected.lines:
            rows.left_out.append(
                PassedOver(line=line.line, text=shown[line.line].strip(), why=corrected.lines[line.line])
            )
        elif line.tries:
            text = "\n".join(shown[at] for at in line.lines or (line.line,))
            for part, spoken in enumerate(line.spoken):
                _add(rows, line, spoken, (part, text), mark, answers)
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
    if spoken.points and not spoken.bad and answers.get(POINTS) != "cc":
        spoken.bad = "it is not clear how much green a point is"
    if spoken.bad:
        built = Built(None, [Problem(where=where, says=spoken.bad, allowed=_ALLOWED)], None)
    else:
        built = build(cells, Given({}, mark), where=where, name=rows.next_name)
    rows.add(line.line, shown, built, cells, part=part)
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
        rows.asked.append(question)
        if question.answer:
            each.ranges = [other for other in each.ranges if other is not two]
            each.bad = next((UNCLEAR[left.field] for left in each.ranges if left.field in UNCLEAR), "")
            ends = {"first": two.first, "second": two.second}
            each.cells[two.field] = ends.get(question.answer, each.cells[two.field])
        if (not question.answer and two.field is Field.LUX) or question.answer == "none":
            del each.cells[Field.LUX]


def _scale(rows: Gathered, said: Sequence[Said], answers: Answers) -> None:
    """Ask how many to one signed whole numbers count Duv, where one is too high for thousandths."""
    scaled = [e for line in said for e in line.spoken if e.scaled and not e.bad and Field.CC in e.cells]
    high = next((e.cells[Field.CC] for e in scaled if abs(value_of(e.cells[Field.CC])) > _MOST_CC), "")
    if not high:
        return
    question = scale_question(high, answers)
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
    answer = answers.get(_DUV_SCALE, "")
    question = PasteQuestion(
        key=_DUV_SCALE,
        says=f"A Duv of {given[0].cells[Field.DUV]} is too large. Is it in thousandths?",
        choices=[choices[0], Reply(value="no", words="Leave them")],
        likely=choices[0].value,
        answer=answer if answer in (choices[0].value, "no") else "",
    )
    rows.asked.append(question)
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
    answer = answers.get("primes", "") if answers.get("primes") in (_YES, _NO) else ""
    for each in high:
        if answer == _YES:
            u, v = each.cells.pop(Field.U60), each.cells.pop(Field.V60)
            each.cells |= {Field.U76: u, Field.V76: v}
        elif not answer:
            each.bad = "it is not clear whether u and v are those of 1960"
    shown = high[0].cells.get(Field.V60, high[0].cells.get(Field.V76, ""))
    choices = [Reply(value=_YES, words="u′ and v′"), Reply(value=_NO, words="u and v of 1960")]
    says = f"A v of {shown} is one of u′ and v′"
    return [PasteQuestion(key="primes", says=says, choices=choices, likely=_YES, answer=answer)]


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
        target = corrected_by(line, before)
        if len(out.asked) == _MOST_ASKED:
            allowed = f"at most {_MOST_ASKED}. Give the corrected readings alone"
            raise Refused.one("text", f"the text has more than {_MOST_ASKED} corrections", allowed)
        if target is not None:
            _ask(out, line, target, answers)
        elif not line.spoken:
            out.lines[line.line] = "no reading in it"
        elif line.corrects.wished:
            line.spoken[0].bad = NOT_SURE
        elif not line.spoken[0].whole:
            line.spoken[0].bad = "it is not clear which reading it corrects"
    return out


def _ask(out: _Corrected, line: Said, target: Spoken, answers: Answers) -> None:
    key = f"corrects-{line.line}"
    answer = answers.get(key, "") if answers.get(key) in (_YES, _NO) else ""
    by = line.spoken[0] if line.spoken else None
    whose = target.name or "a reading"
    renames = line.corrects.renames if line.corrects is not None else ""
    if renames:
        question = f"Line {line.line} says that {says(target)} is {renames}, not {whose}"
        choices = [Reply(value=_YES, words=f"It is {renames}"), Reply(value=_NO, words=f"It is {whose}")]
    elif by is None:
        question = f"Line {line.line} takes back {whose}, {says(target)}"
        choices = [Reply(value=_YES, words="Leave that reading out"), Reply(value=_NO, words="Keep it")]
    else:
        was = ", ".join(target.cells[f] for f in by.cells if f in target.cells) or says(target)
        question = f"Line {line.line} corrects {whose}: {says(by)} in place of {was}"
        choices = [
            Reply(value=_YES, words=f"Take {says(by)[:_SHOWN]}"),
            Reply(value=_NO, words=f"Keep {was[:_SHOWN]}"),
        ]
    likely = "" if line.corrects is not None and line.corrects.wished else _YES
    out.asked.append(PasteQuestion(key=key, says=question, choices=choices, likely=likely, answer=answer))
    out.lines[line.line] = "a correction"
    if not answer:
        target.bad = target.bad or f"line {line.line} corrects it"
    elif answer == _YES and renames:
        target.name = renames
    elif answer == _YES and by is not None:
        target.cells = as_corrected(target, by)
    elif answer == _YES:
        target.cells = {f: t for f, t in target.cells.items() if f is Field.NOTE}
