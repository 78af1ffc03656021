"""Lines of prose: where grammar finds not all of a line, or another sense than its gist, that is asked."""

import re
from collections import Counter
from collections.abc import Container, Sequence
from dataclasses import replace

from ...model.basis.base import name_key
from ..messages.asides import is_camera, is_guessed
from ..messages.lead import is_header
from ..messages.lines import Said
from ..messages.technical import is_technical
from ..prose.gist import Talk, gist_of, is_prose
from ..prose.series import is_series
from ..prose.vocabulary import LIGHTS, is_stop
from ..readings.result import Answers, PasteQuestion
from ..sentences.spoken import NOT_SURE, SWAPPED, Spoken
from ..sentences.values import value_of
from ..vocabulary.headings import Field
from ..vocabulary.spoken import MODIFIERS
from .asked import UNREAD
from .better_names import is_talky, name_better, named_better
from .questions import NO, YES, proposal_question

PROPOSED = "it is not clear what its line says, which is asked above"
"""What is said of a reading that is proposed, until somebody says that it is right."""
_WORD = re.compile(r"(?!(?:lux|lx|klx|fc|cct|duv|cc|kelvin|mired)\b)[^\W\d_]{2,}", re.IGNORECASE)
_WISHES = re.compile(
    r"(?:(?:and|so|but|then|tomorrow|later|today)[\s,]+){0,2}(?:we['’]?ll|we['’]?re|we|i['’]?ll|i['’]?m|i|they|dp|the\sdp|boss)\s"
    r"(?:going\sfor|(?:will\s|would\s)?wants?|aim(?:ing)?\s(?:for|at)|after|(?:would|['’]d)\slike|(?:will\s)?go(?:ing)?\sfor)\b",
    re.IGNORECASE,
)
# "key 56 fill 54", "key: 5.6 / fill: 5.4": behind a name, and no count of anything.
_HUNDREDS = re.compile(
    r"(?P<before>[^\W\d_]{2,}:?\s)(?P<number>[2-9]\d|[2-9]\.\d\d?)(?=[\s,;./]|$)(?![.,]\d)"
    r"(?!\s?(?:%|k\b|lx|lux|fc|cc|min|mm|cm|m\b|ft|stops?|percent|pct|cuts?|sheets?|rolls?|fps|degrees?))",
    re.IGNORECASE,
)
_SLIP = re.compile(r"(?<![\d.,])[2-9]\d{3}0\s{1,3}[-+]\s?\.?\d")
"""A CCT with one digit too many."""
_SENTENCE = re.compile(r"[^\W\d_]\s[-+]?\.?\d|\d\w?\s[^\W\d_]{2}")
"""A number with a word before or behind it, which no cell has."""
_CELLS = re.compile(r"[,;|\t]\s?[-+\d]")
"""Cells, as in a table without headings."""
_FEWEST_WORDS = 3
_MOST_ASKED = 100
_LONGEST = 500
_FEWEST = 2
"""So many sources with their CCTs on a line that speaks of channels, and the like, were metered."""


def proposals(said: Sequence[Said], corrected: Container[int], answers: Answers) -> list[PasteQuestion]:
    """Ask about the lines whose sense is open, and put what was answered in its place.

    What both readers of a line find alike stands as it is. Of figures without a name, or with hardly a word
    beside them, nothing is proposed: they may be cells.
    """
    asked: list[PasteQuestion] = []
    talk = Talk()
    for line in said:
        text = line.worded or line.message.text
        if line.line in corrected or len(line.lines) > 1 or not _may_tell(line):
            _mark_plain(line.spoken, line.line in corrected or _is_plain(line, replace(talk)))
            if line.whole and len(line.lines) < 2 and len(line.message.text) <= _LONGEST:
                name_better(line.spoken, text, replace(talk))
            _remember(talk, line.spoken)
            continue
        found = gist_of(text, talk)
        _mark_plain(line.spoken, talk.plain and _alike(line.spoken, found))
        named_better(line.spoken, found)
        if not found and (found := _in_hundreds(line, talk)):
            asked.append(_ask(line, found, answers))
        elif not found:
            _doubt(line)
        elif not _is_open(line, found):
            continue
        elif talk.plain and _agree(line.spoken, found):
            line.spoken[:] = found
            _mark_plain(found, True)
        elif len(asked) < _MOST_ASKED:
            asked.append(_ask(line, found, answers))
    return asked


def _in_hundreds(line: Said, talk: Talk) -> list[Spoken]:
    """Return what a line tells if its small numbers are CCTs in hundreds or thousands; else nothing."""
    text = line.message.text
    if any(each.cells for each in line.spoken) or len(_HUNDREDS.findall(text)) < _FEWEST:
        return []
    found = gist_of(_HUNDREDS.sub(_in_kelvin, text), talk)
    lit = [each for each in found if LIGHTS & set(name_key(each.name).split())]
    return found if len(found) >= _FEWEST and len(lit) == len(found) else []


def _in_kelvin(found: re.Match[str]) -> str:
    number = float(found["number"])
    return f"{found['before']}{number * (100 if number >= 20 else 1000):.0f}"


def _is_plain(line: Said, talk: Talk) -> bool:
    """Whether the gist of a line that was not looked at further is what was found in it, and plainly so."""
    lacking = any(each.cells and not each.coloured for each in line.spoken)
    if not lacking or len(line.lines) > 1 or len(line.message.text) > _LONGEST:
        return False
    found = gist_of(line.worded or line.message.text, talk)
    return talk.plain and _alike(line.spoken, found)


def _mark_plain(spoken: Sequence[Spoken], plain: bool) -> None:
    for each in spoken:
        each.plain = plain


def _may_tell(line: Said) -> bool:
    """Whether a line may say something else than what was found in it."""
    text = line.message.text
    if is_camera(text):
        return False  # it is asked, or a setting
    said = _WORD.findall(text)
    lit = (
        not line.whole
        and (_SENTENCE.search(text) or not _CELLS.search(text))
        and any(word.casefold() in LIGHTS for word in (*said, *text.split()[:1]))
    )
    lit = lit or (not line.whole and _SLIP.search(text) is not None)
    wordy = len(said) >= _FEWEST_WORDS or is_series(text) or lit
    if len(text) > _LONGEST or not wordy:
        return False
    if line.whole and len(said) <= len(line.spoken) and all(each.name for each in line.spoken):
        return False  # nothing but names and figures
    return line.whole or bool(line.spoken) or not is_header(line.text)


def _remember(talk: Talk, spoken: Sequence[Spoken]) -> None:
    if spoken:
        talk.last, talk.name = spoken[-1], spoken[-1].name or talk.name


def _agree(own: Sequence[Spoken], found: Sequence[Spoken]) -> bool:
    """Whether what grammar found wholly is in the gist too, under a name that is none or shares a word."""
    return all(
        any(
            _figures(e) == _figures(f) and (not e.name or is_stop(e.name) or _share(e.name, f.name))
            for f in found
        )
        for e in own
        if e.whole
    )


def _doubt(line: Said) -> None:
    """Ask of figures that are wanted, or another's, as their words tell, whether they were read.

    Of CCTs alone behind a wish ("we're going for 3200") nobody has to be asked.
    """
    if _WISHES.match(line.message.text) and not any(each.coloured for each in line.spoken):
        for each in line.spoken:
            each.bad = UNREAD
    elif is_prose(line.message.text):
        for each in line.spoken:
            each.bad = each.bad or (NOT_SURE if each.cells else "")


def _is_open(line: Said, found: Sequence[Spoken]) -> bool:
    """Whether what was found in a line is to be asked about."""
    own = line.spoken
    named = [each for each in found if each.name]
    if len(named) < len(found) and (not named or line.whole or not is_prose(line.message.text)):
        return False
    if any(each.ranges or each.points for each in own) and _names(own) == _names(found):
        return False  # it is asked already
    told = len(found) >= _FEWEST or any(each.coloured for each in (*found, *own))
    if is_technical(line.message.text) and not told:
        return False
    if is_guessed(line.message.text) or any(each.bad == SWAPPED for each in own):
        return False  # it is asked, or its row says it
    if line.whole and not is_prose(line.message.text) and _only_modifiers(own, found):
        return False
    return not _alike(own, found) or any(map(is_talky, own))


def _only_modifiers(own: Sequence[Spoken], found: Sequence[Spoken]) -> bool:
    """Whether two senses differ in names alone, of which the gist's are what stands before a lamp."""
    pairs = [(a, b) for a, b in zip(own, found, strict=False) if not _share(a.name, b.name)]
    figures = Counter(map(_figures, own)) == Counter(map(_figures, found))
    lamps = all(a.name and set(name_key(b.name).split()) <= MODIFIERS for a, b in pairs)
    return bool(pairs) and figures and lamps


def _names(spoken: Sequence[Spoken]) -> list[str]:
    return [name_key(each.name) for each in spoken]


def _alike(one: Sequence[Spoken], other: Sequence[Spoken]) -> bool:
    """Whether two senses of a line have the same figures, with names that share a word."""
    if any(each.bad for each in one) or len(one) != len(other):
        return False
    if Counter(map(_figures, one)) != Counter(map(_figures, other)):
        return False
    return all(_share(a.name, b.name) for a, b in zip(one, other, strict=True))


def _figures(spoken: Spoken) -> tuple[float | tuple[str, ...], ...]:
    cells = spoken.cells
    mired = value_of(cells.get(Field.MIRED, ""))
    cct = 1e6 / mired if mired else value_of(cells.get(Field.CCT, ""))
    duv = value_of(cells.get(Field.DUV, "")) or value_of(cells.get(Field.CC, "")) / 1000
    level = value_of(cells.get(Field.LEVEL, "").split(" ")[0].replace("full", "100")) % 100
    lux = value_of(cells.get(Field.LUX, "").split(" ")[0])
    return round(cct), round(duv, 5), level, lux, tuple(sorted(spoken.gels))


def _share(one: str, other: str) -> bool:
    if not one or not other:
        return one == other
    return bool(set(name_key(one).split()) & set(name_key(other).split()))


def _ask(line: Said, found: list[Spoken], answers: Answers) -> PasteQuestion:
    """Ask what a line says; until that is answered, nothing of it is read."""
    other = list(line.spoken) if line.whole else []
    question = proposal_question(line.line, line.message.text, (found, other), answers)
    why = next((each.bad for each in line.spoken if each.bad not in ("", NOT_SURE)), PROPOSED)
    if question.answer == NO:
        line.spoken[:] = line.spoken or found
        for each in line.spoken:
            each.bad = UNREAD
    elif question.answer == YES or question.open:
        for each in found if question.open else []:
            each.proposed, each.bad = True, why
        line.spoken[:] = found
    _mark_plain(line.spoken, True)
    return question.model_copy(update={"lines": [line.line]})
