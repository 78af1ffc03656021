"""Lines that say anew what was said before: asked about, and done as answered."""

import re
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from difflib import get_close_matches

from ...model import Refused
from ...model.basis.base import name_key
from ..messages.corrections import Correction
from ..messages.lines import Said
from ..messages.threads import as_corrected, corrected_by
from ..readings.result import Answers, PasteQuestion
from ..sentences.spoken import NOT_SURE, SWAPPED, Spoken
from ..vocabulary.headings import Field
from ..vocabulary.spoken import ROLES
from .asked import of_lines
from .questions import YES, correction_question, spelling_question, swap_question

_MOST_ASKED = 100
_ALIKE = 0.4
"""How alike a name and how it was meant are at least, by `difflib`. Our own judgement. [1]"""
# "back is 5840 actually, you swapped the digits": it tells anew what was told before.
_OTHERWISE = re.compile(
    r"\b(?:actually|in\sfact|swapped|typo|wrong(?:ly)?|mistyped|misread|mistake|corrected|correction|instead|"
    r"you\s(?:wrote|typed|put|said|have|had|noted)|i\s(?:wrote|typed|said|meant)|not\s(?:\d{4}|[+-]?0?\.\d)|"
    r"eigentlich|falsch|vertippt|korrigiert|en\sfait|faux|corrigé|en\srealidad|mal|corregido|in\srealtà|sbagliato|"
    r"corretto|eigenlijk|fout|na\sverdade|errado|właściwie|źle|egentligen|fel)\b",
    re.IGNORECASE,
)


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
    quoted: list[Spoken] = []
    for line in said:
        if line.corrects is None:
            target = _denied(line, before, quoted)
            if target is not None:
                _ask(out, replace(line, corrects=Correction(line.text)), target, answers, said)
                continue
            before += [each for each in line.spoken if each.cells]
            quoted += [each for each in line.spoken if _is_quoted(line)]
            continue
        if line.corrects.spelled:
            _ask_spelling(out, line, before, answers, said)
            continue
        if line.corrects.swaps:
            words = set(re.findall(r"[^\W\d_]+", line.text.casefold()))
            named = [each for each in before if each.name and set(name_key(each.name).split()) <= words]
            _ask_swap(out, line, named if len(named) == 2 else before[-2:], answers, said)
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
        elif line.spoken[0].whole and not line.spoken[0].name:
            line.spoken[0].name = _who_in(line.message.text)
        elif not line.spoken[0].whole:
            line.spoken[0].bad = "it is not clear which reading it corrects"
    return out


def _denied(line: Said, before: Sequence[Spoken], quoted: Sequence[Spoken]) -> Spoken | None:
    """Return the reading that a line tells otherwise: its words say so, or it answers what it quotes."""
    if len(line.spoken) != 1 or not line.spoken[0].name or line.spoken[0].bad:
        return None
    own = line.spoken[0]
    named = [each for each in before if name_key(each.name) == name_key(own.name)]
    if not named or named[-1].bad or named[-1].cells == own.cells:
        return None
    answers_quoted = any(each is named[-1] for each in quoted) and not _is_quoted(line)
    return named[-1] if answers_quoted or _OTHERWISE.search(line.message.text) else None


def _who_in(text: str) -> str:
    """Return the one source that a correction speaks of: "was wrong about the fill. It's 5480"."""
    said = [word for word in re.findall(r"[^\W\d_]+", text) if word.casefold() in ROLES]
    return said[0] if len(said) == 1 else ""


def _is_quoted(line: Said) -> bool:
    return line.text.lstrip().startswith((">", "|", "»"))


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


def _ask_spelling(
    out: Corrected, line: Said, before: Sequence[Spoken], answers: Answers, said: Sequence[Said]
) -> None:
    """Ask whether the names that a line writes anew are those of the readings that are written most alike."""
    assert line.corrects is not None, "the line corrects something"
    named = {each.name: each for each in before if each.name}
    meant: list[tuple[Spoken, str]] = []
    for word in line.corrects.spelled:
        alike = get_close_matches(word.casefold(), [name.casefold() for name in named], 1, _ALIKE)
        target = next((each for name, each in named.items() if name.casefold() in alike), None)
        if target is not None and target.name.casefold() != word.casefold():
            meant.append((target, word))
    if not meant:
        return
    question = spelling_question(line.line, [(each.name, word) for each, word in meant], answers)
    out.asked.append(of_lines(question, said, [each for each, _ in meant]))
    out.lines[line.line] = "a correction"
    for each, word in meant:
        if question.answer == YES:
            each.name = word
        elif not question.answer:
            each.bad = each.bad or f"line {line.line} renames it"


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
