"""Lines that say anew what was said before: asked about, and done as answered."""

from collections.abc import Sequence
from dataclasses import dataclass, field

from ...model import Refused
from ..messages.lines import Said
from ..messages.threads import as_corrected, corrected_by
from ..readings.result import Answers, PasteQuestion
from ..sentences.spoken import NOT_SURE, SWAPPED, Spoken
from ..vocabulary.headings import Field
from .asked import of_lines
from .questions import YES, correction_question, swap_question

_MOST_ASKED = 100


@dataclass
class Corrected:
    """The questions about corrections, and the `lines` that correct, each with what became of it."""

    asked: list[PasteQuestion] = field(default_factory=list)
    lines: dict[int, str] = field(default_factory=dict)

    @property
    def told(self) -> set[int]:
        """The lines that correct, and those that are corrected."""
        return {*self.lines, *(line for question in self.asked for line in question.lines)}


def corrections(said: Sequence[Said], answers: Answers) -> Corrected:
    """Find what lines correct, change the readings as was answered, and ask where nothing was.

    A reading whose correction is not answered says so and is not read. A correction that finds no reading
    and is a whole one is a reading itself; what else finds none stays unclear.
    """
    out = Corrected()
    before: list[Spoken] = []
    for line in said:
        if line.corrects is None:
            before += [each for each in line.spoken if each.cells]
            continue
        if line.corrects.swaps:
            _ask_swap(out, line, before[-2:], answers, said)
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


def _ask_swap(
    out: Corrected, line: Said, two: Sequence[Spoken], answers: Answers, said: Sequence[Said]
) -> None:
    """Ask whether the names of the last two readings are swapped; of one alone its row says so."""
    if len(two) < 2 or not all(each.name and not each.bad for each in two):
        for each in two:
            each.bad = each.bad or SWAPPED
        return
    first, second = two
    question = swap_question(line.line, (first, second), answers)
    out.asked.append(of_lines(question, said, two))
    out.lines[line.line] = "a correction"
    if question.answer == YES:
        first.name, second.name = second.name, first.name
    elif not question.answer:
        first.bad = second.bad = SWAPPED


def _ask(out: Corrected, line: Said, target: Spoken, answers: Answers, said: Sequence[Said]) -> None:
    assert line.corrects is not None, "the line corrects something"
    by, renames = (line.spoken[0] if line.spoken else None), line.corrects.renames
    question = correction_question(line.line, (target, by, renames), answers, wished=line.corrects.wished)
    out.asked.append(of_lines(question, said, [target]))
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
