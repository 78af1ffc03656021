"""Words beside the numbers of a source: kind, level, modifier, or that it was bare."""

import re
from collections.abc import Sequence

from ..vocabulary.headings import Field, understand
from ..vocabulary.kinds import kind_of
from ..vocabulary.spoken import BEHIND, KIND_OF_KIND, MODIFIERS
from .spoken import Spoken
from .token import Token, TokenKind
from .values import like_duv

_MOST_BETWEEN = 4
"""So many words may stand between a CCT and its Duv (our own judgement)."""
_SIZE = re.compile(r"\d{1,2}\s?x\s?\d{1,2}", re.IGNORECASE)
_PARTS = frozenset(".!?;|/")


def goes_with(tokens: Sequence[Token], at: int, spoken: Spoken, *, later: bool, parted: bool) -> int:
    """Take a word that says kind, level, modifier or bare; return how many tokens it takes, 0 for any other.

    `later` is whether another colour follows, which the word may name, `parted` whether a mark stands before
    the word.
    """
    word, cells = tokens[at].text.casefold(), spoken.cells
    if word in ("bare", "nogel", "gel"):
        return 1
    if word == "full" and Field.LEVEL not in cells:
        cells[Field.LEVEL] = "full"
        return 1
    if word in MODIFIERS and Field.MODIFIER not in cells and spoken.groups:
        cells[Field.MODIFIER] = tokens[at].text
        return 1
    known = understand(tokens[at].text)
    if known is not None and known.field is Field.MODIFIER and Field.MODIFIER not in cells:
        words = _words_behind(tokens, at)
        if words:
            cells[Field.MODIFIER] = " ".join(words)
            return 1 + len(words)
    return _kind(tokens, at, spoken, later=later, parted=parted)


def remarks_on_duv(tokens: Sequence[Token], at: int, spoken: Spoken) -> bool:
    """Whether words stand between a CCT and its signed Duv: "6120, kind of greenish +4"."""
    given = spoken.cells.keys()
    if not given & {Field.CCT, Field.MIRED} or given & {Field.DUV, Field.CC}:
        return False
    for token in tokens[at + 1 : at + 1 + _MOST_BETWEEN]:
        if token.kind is TokenKind.NUMBER:
            return token.signed and (token.unit == "cc" or (token.bare and like_duv(token)))
        if token.kind is TokenKind.LABEL:
            return token.field in (Field.DUV, Field.CC)
        if token.text in _PARTS:
            return False
    return False


def _kind(tokens: Sequence[Token], at: int, spoken: Spoken, *, later: bool, parted: bool) -> int:
    count, kind, said = 1, kind_of(tokens[at].text), tokens[at].text
    following = tokens[at + 1] if at + 1 < len(tokens) else None
    if said.casefold() in KIND_OF_KIND and following is not None and kind_of(following.text) is not None:
        count, kind, said = 2, kind_of(following.text), f"{said} {following.text}"
    if kind is None or Field.KIND in spoken.cells:
        return 0
    following = tokens[at + count] if at + count < len(tokens) else None
    if parted and following is not None and following.kind is TokenKind.FILLER and later:
        following = next((t for t in tokens[at + count :] if t.kind is not TokenKind.FILLER), None)
    # "tungsten fill 3190" and "tubes in the kitchen 4130" are the next source, if words follow.
    if following is not None and following.kind is TokenKind.WORD and later:
        return 0
    spoken.cells[Field.KIND] = said
    return count


def through(tokens: Sequence[Token], at: int, spoken: Spoken) -> int:
    """Take the modifier behind a name and before its numbers: "Fill through muslin, 30 %: 4950".

    Return how many tokens it takes, 0 where there is none.
    """
    if tokens[at].text.casefold() not in BEHIND or Field.MODIFIER in spoken.cells:
        return 0
    said = list(tokens[at + 1 : at + 4])
    while said and said[0].kind is TokenKind.FILLER:
        said = said[1:]
    sized = len(said) > 1 and _SIZE.fullmatch(said[0].text) is not None  # "through 8x8 silk"
    last = said[sized] if len(said) > sized else None
    if last is None or last.text.casefold() not in MODIFIERS:
        return 0
    spoken.cells[Field.MODIFIER] = " ".join(word.text for word in said[: sized + 1])
    return tokens.index(last, at) + 1 - at


def _words_behind(tokens: Sequence[Token], at: int) -> list[str]:
    words = []
    for token in tokens[at + 1 : at + 5]:
        if token.kind is not TokenKind.WORD:
            break
        words.append(token.text)
    return words
