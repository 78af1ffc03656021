"""Names in which words of a sentence stand: cut to what a light is called by, or told apart from talk."""

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
from ..sentences.spoken import Spoken
from ..vocabulary.spoken import NOT_READ

_DENIED = NOT | WANTED | NOT_READ | ALL
"""Words that say more than who is meant."""
_SENTENCE = (SPEAKERS | COPULAS | POINTING | SECOND_THOUGHTS) - (
    LIGHTS | PLACES | ARTICLES | WITHIN | {"one", "ones", "a"}
)
_NOUNS = frozenset({"SE", "Bad"})
"""Names that are words of talk in small letters, or in another language: south-east, the German for bath."""
_MOST_WORDS = 8
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
