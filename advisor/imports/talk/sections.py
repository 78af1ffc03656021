"""Lines above readings, or beneath them, that say something of all: what is wanted, whose they are, a gel."""

import re
from collections.abc import Sequence

from ...model.basis.base import name_key
from ..messages.lines import Said
from ..messages.threads import is_title
from ..readings.joining import SEVERAL, titles_question
from ..readings.result import Answers, PasteQuestion
from ..sentences.spoken import NOT_SURE, Spoken
from ..sentences.token import TokenKind
from ..sentences.tokens import tokens
from ..sentences.values import PERCENT
from ..text.titles import is_read_title, is_wanted_title
from ..vocabulary.headings import Field
from ..vocabulary.words import words
from .asked import UNREAD, of_lines
from .questions import NO, YES, of_all_question, unread_question

WHOSE = "it is not clear whether it is the one above of that name"
"""What is said of a reading whose name stands under two headings."""
NOT_HERE = f"{NOT_SURE}, which is asked above"
"""What is said of a reading beneath a heading for what is wanted."""
_SIDE = re.compile(r"[A-H]\s(?:cam|camera|side|unit|set|row|stage|block|truss|wall|team)\b[^\d]{0,20}")
_OF_ALL = words(
    "all both each every everything these those them they it's its is are were was at with on in behind "
    "through thru everyone of the a and still dimmed running set to gel gels gelled lamps lights heads "
    "readings read metered "
    "measured here today now note nb same for level dimmer"
)
_PLENTY = words("all both each every everything these those")
_BOTH = re.compile(r"both\b", re.IGNORECASE)
_LONGEST = 80


def ask_sections(said: Sequence[Said], answers: Answers) -> list[PasteQuestion]:
    """Ask what headings and lines of their own say of the readings by them, and do as was answered."""
    asked: list[PasteQuestion] = []
    sections: list[tuple[str, list[Said]]] = []
    for line in said:
        if line.spoken:
            if not sections:
                sections.append(("", []))
            sections[-1][1].append(line)
        elif _is_heading(line):
            sections.append((line.message.text.strip().rstrip(":.- "), []))
    for number, (title, lines) in enumerate(sections):
        if title and lines and is_wanted_title(title):
            asked.append(_ask_wanted(f"wanted-{number}", title, lines, answers))
    whose = _ask_whose(
        [(title, lines) for title, lines in sections if lines and not is_wanted_title(title)], answers
    )
    return [*asked, *([whose] if whose else []), *_ask_of_all(said, answers)]


def _is_heading(line: Said) -> bool:
    text = line.message.text.strip()
    said = is_wanted_title(text) or is_read_title(text)
    return said or is_title(line) or _SIDE.fullmatch(text[:_LONGEST]) is not None


def _ask_wanted(key: str, title: str, lines: Sequence[Said], answers: Answers) -> PasteQuestion:
    held = [each for line in lines for each in line.spoken if each.cells]
    question = of_lines(unread_question(key, title, held, answers), lines, held)
    for each in held:
        if question.answer != YES:
            each.bad = UNREAD if question.answer == NO else each.bad or NOT_HERE
    return question


def _ask_whose(sections: Sequence[tuple[str, list[Said]]], answers: Answers) -> PasteQuestion | None:
    """Ask of names that stand under two headings whether they are the same lights."""
    under: dict[str, dict[str, list[Spoken]]] = {}
    for title, lines in sections:
        for line in lines:
            for each in line.spoken:
                if each.name and each.cells:
                    under.setdefault(name_key(each.name), {}).setdefault(title, []).append(each)
    twice = {name: titles for name, titles in under.items() if len(titles) > 1}
    if not twice or not all(title for titles in twice.values() for title in list(titles)[1:]):
        return None
    titles = list(dict.fromkeys(title for titles in twice.values() for title in titles))
    held = [each for titled in twice.values() for group in titled.values() for each in group]
    names = [next(iter(next(iter(titled.values())))).name for titled in twice.values()]
    question = titles_question(names, titles, answers)
    for titled in twice.values():
        for title, group in titled.items():
            for each in group:
                if question.answer == SEVERAL and title:
                    each.name = f"{title} {each.name}"
                elif question.open:
                    each.bad = each.bad or WHOSE
    return of_lines(question, [line for _, lines in sections for line in lines], held)


def _ask_of_all(said: Sequence[Said], answers: Answers) -> list[PasteQuestion]:
    """Ask of lines with a gel or a level and no reading whether they are of those above, or beneath."""
    asked = []
    for at, line in enumerate(said):
        state = _state_of(line)
        if state is None:
            continue
        gels, level, plenty = state
        beneath = _run(said[at + 1 :])
        above = _run(said[at - 1 :: -1] if at else [])[::-1] if plenty else []
        near = beneath if beneath and (at == 0 or not above) else above
        held = [each for other in near for each in other.spoken if each.cells and not each.bad]
        held = held[-2:] if near is above and _BOTH.match(line.message.text) else held
        held = [e for e in held if not (gels and e.gels) and not (level and Field.LEVEL in e.cells)]
        if not held:
            continue
        shown = " ".join([*gels, *([level] if level else [])])
        question = of_all_question(line.line, shown, held, answers)
        asked.append(of_lines(question, near, held))
        for each in held:
            if question.answer == YES:
                each.gels += gels
                each.cells |= {Field.LEVEL: level} if level else {}
            elif question.open:
                each.bad = f"line {line.line} may say how it stood"
    return asked


def _state_of(line: Said) -> tuple[list[str], str, bool] | None:
    """Return the gels and the level that a line without a reading says of several; None of any other."""
    text = line.message.text
    if line.spoken or len(text) > _LONGEST or "?" in text:
        return None
    found = tokens(text)
    gels = [token.text for token in found if token.kind is TokenKind.GEL]
    levels = [token for token in found if token.kind is TokenKind.NUMBER]
    said = {t.text.casefold() for t in found if t.kind in (TokenKind.WORD, TokenKind.FILLER)}
    full = "full" in said and not gels and not levels
    if not said - {"full"} <= _OF_ALL or any(t.unit not in PERCENT for t in levels) or len(levels) > 1:
        return None
    if not (gels or levels or full) or (full and not said & _PLENTY):
        return None
    level = f"{levels[0].text} %" if levels else "100 %" if full else ""
    return gels, level, bool(said & _PLENTY)


def _run(lines: Sequence[Said]) -> list[Said]:
    """Return the lines at the beginning that tell readings."""
    out = []
    for line in lines:
        if not line.spoken:
            break
        out.append(line)
    return out
