"""What figures in messages leave open: ranges, scales, what was read at all. Asked, and done as answered."""

from collections.abc import Iterator, Sequence

from ..messages.lines import Said
from ..readings.gathered import Gathered
from ..readings.result import Answers, PasteQuestion
from ..readings.scales import of_duv
from ..sentences.spoken import NOT_SURE, UNCLEAR, Spoken
from ..sentences.values import value_of
from ..sources.far import is_far, usual_of
from ..vocabulary.headings import Field
from ..vocabulary.kinds import kind_of
from .questions import (
    NO,
    TENTH,
    YES,
    far_question,
    hung_question,
    primes_question,
    range_question,
    said_of,
    scale_question,
    sure_question,
    thousandths_question,
)

UNREAD = "it was not read"
"""What is said of a reading that somebody said was none."""
_SHOWN = 40
MOST_ASKED = 100
"""How many questions of one sort a text gets at most."""
_MOST_CC = 20.0
"""No light on set is further off without its gel being said. From memory. [CC]"""
_LOWEST_VPRIME, _HIGHEST_VPRIME = 0.42, 0.58
"""Whites have v of 0.29 to 0.37 in 1960, and half as much again as v′ in 1976."""


def ask_ranges(rows: Gathered, said: Sequence[Said], answers: Answers) -> None:
    """Ask which figure is meant where a range is told, and take the one that was answered.

    A reading whose light is in doubt is read without it.
    """
    told = [(line, at, e, two) for line, at, e in each_told(said) for two in e.ranges]
    for line, at, each, two in told[:MOST_ASKED]:
        if each.bad not in ("", UNCLEAR.get(two.field, "")):
            continue
        question = range_question(f"range-{line.line}.{at}.{two.field.name}".lower(), each.name, two, answers)
        rows.asked.append(of_lines(question, [line], [each]))
        if question.answer:
            each.ranges = [other for other in each.ranges if other is not two]
            each.bad = next((UNCLEAR[left.field] for left in each.ranges if left.field in UNCLEAR), "")
            ends = {"first": two.first, "second": two.second}
            each.cells[two.field] = ends.get(question.answer, each.cells[two.field])
        if (not question.answer and two.field is Field.LUX) or question.answer == "none":
            del each.cells[Field.LUX]


def ask_sure(rows: Gathered, said: Sequence[Said], answers: Answers) -> None:
    """Ask whether a reading was read that is told as if it might not have been, and do what was answered."""
    told = [(line, at, e) for line, at, e in each_told(said) if e.bad == NOT_SURE and e.cells]
    for line, at, each in told[:MOST_ASKED]:
        shown = line.message.text if len(line.spoken) < 2 else said_of([each])
        likely = YES if each.likely else NO
        question = sure_question(f"sure-{line.line}.{at}", shown[:_SHOWN], answers, likely=likely)
        rows.asked.append(of_lines(question, [line], [each]))
        each.bad = {YES: "", NO: UNREAD}.get(question.answer, each.bad)


def ask_hung(rows: Gathered, said: Sequence[Said], answers: Answers) -> None:
    """Ask whether the gels of a reading hung while it was read, where words may say that they did not."""
    told = [(line, at, e) for line, at, e in each_told(said) if e.gels_open and not e.bad]
    for line, at, each in told[:MOST_ASKED]:
        question = hung_question(f"hung-{line.line}.{at}", each, answers)
        rows.asked.append(of_lines(question, [line], [each]))
        if question.answer == NO:
            each.gels = [gel for gel in each.gels if gel not in each.gels_open]
        elif question.open:
            each.bad = "it is not clear whether its gel hung"


def ask_scale(rows: Gathered, said: Sequence[Said], answers: Answers) -> None:
    """Ask how many to one signed whole numbers count Duv, where one is too high for thousandths."""
    scaled = [e for line in said for e in line.spoken if e.scaled and not e.bad and Field.CC in e.cells]
    high = next((e.cells[Field.CC] for e in scaled if abs(value_of(e.cells[Field.CC])) > _MOST_CC), "")
    if not high:
        return
    question = of_lines(scale_question(high, answers), said, scaled)
    rows.asked.append(question)
    for each in scaled:
        if not question.answer:
            each.bad = f"it is not clear what {each.cells[Field.CC]!r} is"
        elif question.answer == "tenths":
            each.cells[Field.CC] = f"{value_of(each.cells[Field.CC]) / 10:g}"


def ask_thousandths(rows: Gathered, said: Sequence[Said], answers: Answers) -> None:
    """Ask whether Duvs that are all too large are in thousandths: "duv 3.1"."""
    given = [e for line in said for e in line.spoken if not e.bad and Field.DUV in e.cells]
    choices = of_duv([value_of(each.cells[Field.DUV]) for each in given])
    if not choices:
        return
    question = thousandths_question(given[0].cells[Field.DUV], choices[0], answers)
    rows.asked.append(of_lines(question, said, given))
    for each in given:
        if question.answer == choices[0].value:
            by = 1000 if choices[0].value == "duv-m" else 10_000
            each.cells[Field.DUV] = f"{value_of(each.cells[Field.DUV]) / by:g}"


def ask_far(rows: Gathered, said: Sequence[Said], answers: Answers) -> None:
    """Ask whether a Duv that its kind of light does not have without a gel is a tenth of it: ".04"."""
    told = list(each_told(said))
    usual = usual_of([_duv(e) for _, _, e in told if Field.DUV in e.cells])
    far = [(line, at, e) for line, at, e in told if not e.bad and not e.gels and _is_far(e, usual)]
    for line, at, each in far[:MOST_ASKED]:
        text = each.cells[Field.DUV]
        question = far_question(f"far-{line.line}.{at}", each.name, text, answers)
        rows.asked.append(of_lines(question, [line], [each]))
        if question.answer == TENTH:
            each.cells[Field.DUV] = f"{value_of(text) / 10:g}"
        elif not question.answer:
            each.bad = f"it is not clear whether its Duv is {text}"


def _is_far(spoken: Spoken, usual: float) -> bool:
    return is_far(_duv(spoken), kind_of(spoken.name), usual)


def _duv(spoken: Spoken) -> float:
    return value_of(spoken.cells.get(Field.DUV, ""))


def ask_primes(said: Sequence[Said], answers: Answers) -> list[PasteQuestion]:
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
    question = of_lines(primes_question(shown, answers), said, high)
    for each in high:
        if question.answer == YES:
            u, v = each.cells.pop(Field.U60), each.cells.pop(Field.V60)
            each.cells |= {Field.U76: u, Field.V76: v}
        elif question.open:
            each.bad = "it is not clear whether u and v are those of 1960"
    return [question]


def each_told(said: Sequence[Said]) -> Iterator[tuple[Said, int, Spoken]]:
    """Go through all that lines tell, each with its line and its index there."""
    return ((line, at, each) for line in said for at, each in enumerate(line.spoken))


def of_lines(question: PasteQuestion, said: Sequence[Said], held: Sequence[Spoken]) -> PasteQuestion:
    """Return a question with the lines that tell the readings it holds back."""
    those = {id(each) for each in held}
    lines = [line.line for line in said if any(id(each) in those for each in line.spoken)]
    return question.model_copy(update={"lines": lines})
