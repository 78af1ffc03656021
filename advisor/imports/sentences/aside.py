"""What brackets between a name and its numbers say: "Key (LED, 50 %, dish): 5480 +.004"."""

from collections.abc import Sequence

from ..vocabulary.headings import Field
from ..vocabulary.kinds import kind_of
from ..vocabulary.spoken import BEHIND, FILLERS, MODIFIERS
from ..vocabulary.words import words as words_of
from .spoken import Spoken
from .token import Token, TokenKind
from .values import PERCENT

_LONGEST = 16
_DIMMED = words_of("all both each dimmed dim set down")


def aside_at(tokens: Sequence[Token], at: int, spoken: Spoken) -> int:
    """Take what is in the brackets from `at` into `spoken`; return how many tokens they are.

    0 where nothing in them is known, since they are then part of a name: "Key (left)". Words beside what is
    known become a remark.
    """
    end = next((i for i in range(at, min(at + _LONGEST, len(tokens))) if tokens[i].text == ")"), None)
    if end is None:
        return 0
    cells: dict[Field, str] = {}
    gels: list[str] = []
    unknown: list[str] = []
    for part in _parts(tokens[at + 1 : end]):
        words = [token for token in part if token.text.casefold() not in FILLERS | BEHIND]
        text = " ".join(token.text for token in words)
        found = _known(words, text)
        if found is None and words and all(token.kind is TokenKind.GEL for token in words):
            gels += [token.text for token in words]
        elif found is None or found[0] in cells:
            unknown.append(text)
        else:
            cells[found[0]] = found[1]
    if not cells and not gels:
        return 0
    spoken.cells |= cells
    spoken.gels += gels
    spoken.remarks += [text for text in unknown if text]
    return end + 1 - at


def _parts(tokens: Sequence[Token]) -> list[list[Token]]:
    parts: list[list[Token]] = [[]]
    for token in tokens:
        if token.kind is TokenKind.MARK:
            parts.append([])
        elif token.kind is TokenKind.GEL:
            parts += [[token], []]
        else:
            parts[-1].append(token)
    return parts


def _known(words: Sequence[Token], text: str) -> tuple[Field, str] | None:
    if words and words[-1].unit in PERCENT and all(w.text.casefold() in _DIMMED for w in words[:-1]):
        return Field.LEVEL, f"{words[-1].text} %"
    if any(token.kind is not TokenKind.WORD for token in words) or not words:
        return None
    if words[-1].text.casefold() in MODIFIERS:
        return Field.MODIFIER, text
    return (Field.KIND, text) if kind_of(text) is not None else None
