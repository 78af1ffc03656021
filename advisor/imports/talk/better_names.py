"""Names in which words of a sentence stand, or that were typed wrongly: mended, or told apart from talk."""

import re
from collections.abc import Sequence

from ...model.basis.base import name_key
from ..messages.lines import Said
from ..prose.gist import Talk, gist_of
from ..prose.vocabulary import (
    ALL,
    ARTICLES,
    COPULAS,
    LIGHTS,
    NOT,
    PLACES,
    POINTING,
    SECOND_THOUGHTS,
    SPEAKERS,
    STANDING_FOR,
    WANTED,
    WITHIN,
    is_stop,
)
from ..readings.result import Answers, PasteQuestion
from ..sentences.spoken import Spoken
from ..vocabulary.spoken import NOT_READ
from ..vocabulary.words import words
from .asked import of_lines
from .questions import NO, typed_question

_DENIED = NOT | WANTED | NOT_READ | ALL
"""Words that say more than who is meant."""
_SENTENCE = (SPEAKERS | COPULAS | POINTING | SECOND_THOUGHTS) - (
    LIGHTS | PLACES | ARTICLES | WITHIN | {"one", "ones", "a"}
)
_NOUNS = frozenset({"SE", "Bad"})
"""Names that are words of talk in small letters, or in another language: south-east, the German for bath."""
_MOST_WORDS = 8
_SHORTEST, _MOST_TYPED = 3, 20
_TYPED = sorted(
    words(
        "key fill back backlight kicker bounce window windows practical practicals background edge hair tube"
    )
)
"""What a slip is looked for of; of other words one letter makes another word."""
_ENDED = re.compile(r"\w{3,}[.!?]\s+\w")
"""The end of a sentence within a name."""
_IN_NAMES = (
    frozenset({"one", "two", "three", "four", "five", "six", "other", "ones"})
    | {"and", "und", "et", "y", "e", "en", "i", "och", "&", "+"}
    | (WITHIN | ARTICLES | PLACES | LIGHTS)
)


def name_better(own: Sequence[Spoken], text: str, talk: Talk) -> None:
    """Take the names of the gist of a `text` where it has them without talk: "New ones: key"."""
    if any(_is_talk(word) for each in own for word in _words_of(each.name)):
        named_better(own, gist_of(text, talk))


def named_better(own: Sequence[Spoken], found: Sequence[Spoken]) -> None:
    """Take the names of `found` where they are parts of those that were found before, without talk."""
    for mine, other in zip(own, found, strict=False) if len(own) == len(found) else ():
        said, less = set(_words_of(mine.name)), set(_words_of(other.name))
        if said and said <= STANDING_FOR and said & less and less - STANDING_FOR:
            mine.name = other.name  # "first one" of two lamps is the first lamp
        rest = said - less
        if less and less <= said and LIGHTS & less and any(map(_is_talk, rest)) and not rest & _DENIED:
            mine.name = other.name


def is_talky(spoken: Spoken) -> bool:
    """Whether a name has words of a sentence in it, by which no light is called."""
    words = _words_of(spoken.name)
    if words and set(words) <= STANDING_FOR:
        return True
    return bool(set(words) & _SENTENCE) or len(words) > _MOST_WORDS or bool(_ENDED.search(spoken.name))


def without_talk(said: Sequence[Said]) -> None:
    """Take names away that are words of talk alone: the reading is of the source that was named before."""
    for line in said:
        for each in line.spoken:
            words = _words_of(each.name)
            if each.name not in _NOUNS and words and all(len(word) > 1 and _is_talk(word) for word in words):
                each.name, each.goes_on = "", True


def _is_talk(word: str) -> bool:
    return is_stop(word) and word not in _IN_NAMES


def _words_of(name: str) -> list[str]:
    return [word.strip(".,:;!?") for word in name_key(name).split()]


def ask_typed(said: Sequence[Said], answers: Answers) -> list[PasteQuestion]:
    """Ask of names that are a slip of the fingers off another reading's, "kye" beside "key", if they are one.

    Until that is answered the reading waits: it is of that light or of another.
    """
    told = [each for line in said for each in line.spoken if each.name and each.cells]
    names = {name_key(each.name) for each in told}
    held: dict[tuple[str, str], list[Spoken]] = {}
    for each in told:
        for word in _words_of(each.name):
            meant = _meant_by(word)
            if meant and name_key(each.name).replace(word, meant) in names:
                held.setdefault((word, meant), []).append(each)
    asked: list[PasteQuestion] = []
    for (word, meant), spoken in list(held.items())[:_MOST_TYPED]:
        question = typed_question(word, meant, answers)
        asked.append(of_lines(question, said, spoken))
        for each in spoken if question.answer != NO else []:
            each.name = re.sub(rf"\b{word}\b", meant, each.name, flags=re.IGNORECASE)
            doubt = f"it is not clear whether {word!r} is {meant}"
            each.bad = each.bad or (doubt if question.open else "")
    return asked


def _meant_by(word: str) -> str:
    """Return what a light is called by if a word is that with a letter too many, too few, or two swapped."""
    if len(word) < _SHORTEST or not word.isascii() or not word.isalpha() or is_stop(word) or word in LIGHTS:
        return ""
    near = [role for role in _TYPED if role[0] == word[0] and role + "s" != word and _slips(word, role)]
    return near[0] if len(near) == 1 else ""


def _slips(word: str, role: str) -> bool:
    if len(word) == len(role):
        pairs = [i for i in range(len(role)) if word[i] != role[i]]
        swapped = len(pairs) == 2 and pairs[1] == pairs[0] + 1
        return swapped and word[pairs[0]] == role[pairs[1]] and word[pairs[1]] == role[pairs[0]]
    long, short = (word, role) if len(word) > len(role) else (role, word)
    return len(long) == len(short) + 1 and any(long[:i] + long[i + 1 :] == short for i in range(len(long)))
