"""A line as what its words are for: names, figures, what parts them, what says they were not read."""

import itertools
import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

from ..sentences.token import Token, TokenKind
from ..sentences.tokens import tokens
from ..sentences.values import by_unit, like_cct, like_duv
from ..vocabulary.headings import Field
from ..vocabulary.spoken import MODIFIERS
from ..vocabulary.words import words
from . import vocabulary as w

_ENDS = frozenset(".!?;")
_ENDED = re.compile(r"\.\s")
_SHORTENED = 3
_WHOLE = words(
    "one two it is now on off up all too her him me us out yes no ok bit tho day far set box old "
    "cct duv lux fc lx cc"
)
"""Short words that no point shortens."""
_LONGEST_NAME = 7
_MAY = frozenset({"could", "might", "may"})
_LEVEL_BEFORE = words("at @ dimmed to bei à al auf op på przy")
_LEVELS = frozenset({"level", "intensity", "dimmer", "output", "dim", "dimming"})
_WHICH = words("little big small left right tall short first second third last top bottom near far old new")
_FULL = frozenset({"fl", "full"})


class Is(StrEnum):
    """What an item is."""

    NAME = "name"
    FIGURE = "figure"
    GEL = "gel"
    PART = "part"
    END = "end"
    ALL = "all"
    DITTO = "ditto"
    WANTED = "wanted"
    TOLD = "told"
    NOT = "not"
    WORD = "word"
    UNKNOWN = "unknown"


@dataclass(frozen=True)
class Item:
    """An item, and its words from `start` to `end` in the line.

    A figure has its `field` and its text; a name is `lit` where it has a word for a light, `led` where "for"
    or the like stands before it, `article` where an article does, `told` where it says how another one
    looks, or what stands in front of it, and `points` where "that's" says that it is the name. A figure is
    `mended` where a zero was put to it, or taken from it.
    """

    kind: Is
    text: str
    start: int
    end: int
    field: Field | None = None
    lit: bool = False
    led: bool = False
    told: bool = False
    points: bool = False
    article: bool = False
    mended: bool = False
    words: tuple[str, ...] = ()


def items_of(text: str) -> list[Item]:
    """Return what the words of a line are for, in its order."""
    found = tokens(text)
    out: list[Item] = []
    at = 0
    while at < len(found):
        if at and out and _is_end(text, found, at):
            out.append(Item(Is.END, ".", found[at - 1].end, found[at].start))
        count, item = _item(text, found, at, out)
        if item is not None:
            out.append(item)
        at += max(count, 1)
    return out


def _item(text: str, found: Sequence[Token], at: int, out: Sequence[Item]) -> tuple[int, Item | None]:
    token = found[at]
    word = token.text.casefold()
    if token.field is Field.DIAL_CCT or _is_set(found, at):
        return 1, Item(Is.WANTED, word, token.start, token.end)
    if token.kind is TokenKind.MARK:
        kind = Is.END if token.text in _ENDS else Is.PART
        return 1, Item(kind, token.text, token.start, token.end)
    if token.kind is TokenKind.GEL:
        return 1, Item(Is.GEL, token.text, token.start, token.end)
    if token.kind is TokenKind.NUMBER:
        pair = figure_of(found, at, out)
        kind = Is.FIGURE if pair else Is.UNKNOWN
        count, name = _name(text, found, at) if pair is None else (0, None)
        if name is not None:
            return count, name
        said = Item(kind, pair[1] if pair else token.text, token.start, token.end)
        ten = pair is not None and pair[0] is Field.CCT and not token.unit and pair[1] != token.text
        return 1, replace(said, field=pair[0] if pair else None, mended=ten)
    if word in _WHICH and at + 1 < len(found) and found[at + 1].text.casefold() in ("one", "ones"):
        last = found[at + 1]
        led = at > 1 and found[at - 2].text.casefold() in w.FOR
        one = Item(Is.NAME, text[token.start : last.end], token.start, last.end, lit=True, led=led)
        return 2, replace(one, article=True, words=(word,))
    if word in _FULL and at and found[at - 1].text.casefold() in _LEVEL_BEFORE:
        return 1, Item(Is.FIGURE, "100 %", token.start, token.end, Field.LEVEL)
    count, name = _name(text, found, at)
    if name is not None:
        return count, name
    for kind, those in ((Is.ALL, w.ALL), (Is.DITTO, w.DITTO), (Is.NOT, w.NOT), (Is.WANTED, w.WANTED)):
        if word in those:
            return 1, Item(kind, word, token.start, token.end)
    may_be = word in _MAY and at + 1 < len(found) and found[at + 1].text.casefold() == "be"
    noted = word == "written" and at + 1 < len(found) and found[at + 1].text.casefold() == "down"
    return 1, Item(
        Is.TOLD if may_be or (word in w.TOLD and not noted) else Is.WORD, word, token.start, token.end
    )


def _is_set(found: Sequence[Token], at: int) -> bool:
    """Whether a word says what is to be set: "set the panels to 4300"."""
    said = [token.text.casefold() for token in found[at : at + _LONGEST_NAME]]
    brought = said[0] in w.BRINGING and any(
        first in ("up", "down") and second == "to" for first, second in itertools.pairwise(said[1:])
    )
    return brought or (said[0] == "set" and any(word in ("to", "at") for word in said[1:]))


def _is_end(text: str, found: Sequence[Token], at: int) -> bool:
    """Whether a sentence ends before a token."""
    return _ENDED.search(text, found[at - 1].end - 1, found[at].start + 1) is not None and _is_long(
        found[at - 1]
    )


def _is_long(token: Token) -> bool:
    """Whether a point behind a token ends a sentence, and shortens no word: "cam. left"."""
    word = token.text.casefold()
    long = token.kind is TokenKind.NUMBER or len(word) > _SHORTENED
    return long or word in w.LIGHTS or word in _WHOLE


def figure_of(found: Sequence[Token], at: int, out: Sequence[Item]) -> tuple[Field, str] | None:
    """Return what a number is by its unit, label, sign and size; None where nothing tells."""
    token, before = found[at], found[at - 1] if at else None
    if not token.values:
        return None
    value = token.values[0]
    unit = by_unit(token)
    if unit is not None:
        kilowatts = (
            unit[0] is Field.CCT and token.unit in ("k", "K") and abs(value) <= 24 and value == int(value)
        )
        return None if kilowatts and _heads(found, at) else unit
    if token.unit:
        return None
    label = before.field if before is not None and before.kind is TokenKind.LABEL else None
    if label in (Field.CCT, Field.LUX, Field.LEVEL, Field.CC):
        return label, f"{token.text} %" if label is Field.LEVEL else token.text
    if like_cct(token):
        return Field.CCT, token.text
    if _misses_a_digit(found, at):
        return Field.CCT, f"{value * 10:g}"
    if 25_000 < value < 100_000 and value % 100 == 0 and not token.signed:
        return Field.CCT, f"{value / 10:g}"
    if like_duv(token) and (token.signed or label is Field.DUV or 0 < abs(value) <= 0.05):
        return (Field.DUV if abs(value) <= 0.05 else Field.CC), token.text
    if label is Field.DUV and abs(value) <= 50:
        return (Field.DUV if abs(value) <= 0.05 else Field.CC), token.text
    said = before is not None and before.text.casefold() in _LEVEL_BEFORE | _LEVELS
    if said and 1 <= value <= 100 and value == int(value) and not token.signed:
        return Field.LEVEL, f"{token.text} %"
    last = out[-1] if out else None
    behind = (
        last is not None
        and last.kind in (Is.FIGURE, Is.PART)
        and any(item.field in (Field.DUV, Field.CC) for item in out[-3:])
    )
    following = found[at + 1] if at + 1 < len(found) else None
    ends = following is None or following.kind is TokenKind.MARK
    free = ends or (before is not None and before.text == "/")
    if behind and free and value > 0 and value == int(value) and not token.signed:
        return Field.LUX, token.text
    return None


def _misses_a_digit(found: Sequence[Token], at: int) -> bool:
    """Whether a number of three digits stands where a CCT does: behind a word, with its Duv behind it."""
    behind = found[at + 1] if at + 1 < len(found) else None
    before = found[at - 1] if at else None
    word = before is not None and before.kind in (TokenKind.WORD, TokenKind.FILLER)
    whole = re.fullmatch(r"[2-9]\d\d", found[at].text) is not None
    return word and whole and behind is not None and behind.signed and behind.bare and like_duv(behind)


def _heads(found: Sequence[Token], at: int) -> bool:
    """Whether a number of kilowatts calls a head: a CCT comes behind it, with a word between."""
    between = at > 0 and found[at - 1].text.casefold() in w.ARTICLES
    for token in found[at + 1 : at + 12]:
        if token.kind is TokenKind.NUMBER:
            return between and like_cct(token)
        between = between or token.kind in (TokenKind.WORD, TokenKind.FILLER)
    return False


def _name(text: str, found: Sequence[Token], at: int) -> tuple[int, Item | None]:
    """Return the name that begins with a token, and how many tokens it takes."""
    end, last, lit = at, at, False
    said: list[str] = []
    while end < len(found) and end < at + _LONGEST_NAME + 3:
        token = found[end]
        word = token.text.casefold()
        bare = re.sub(r"['’]s?\Z", "", word)
        between = text[found[end - 1].end : token.start] if end > at else ""
        joined = end > at and re.fullmatch(r"\s?", between.replace(".", "")) and not _is_end(text, found, end)
        if end > at and not joined:
            break
        if token.kind is TokenKind.NUMBER:
            if end > at and _misses_a_digit(found, end):
                break
            numbered = (
                end > at
                and 0 < (token.values or (0,))[0] < 1000
                and not token.signed
                and "." not in token.text
            )
            alone = end > at and found[end - 1].text.casefold() in _LEVEL_BEFORE
            kilowatts = end == at and token.unit in ("k", "K") and _heads(found, at)
            if not (kilowatts or (numbered and not token.unit and not alone and _small(found, end))):
                break
            said.append(word)
            last, lit = end + 1, lit or kilowatts
        elif token.kind not in (TokenKind.WORD, TokenKind.FILLER):
            break
        elif bare in w.LIGHTS or bare in w.PLACES or not w.is_stop(bare):
            if not re.search(r"[^\W\d_]", word) and end == at:
                break
            said.append(bare)
            last, lit = end + 1, lit or bare in w.LIGHTS
            if bare != word and found[end].text[-2:-1] in "'’":
                end += 1
                break  # "the balloon's 5520"
        elif (
            end == at
            or not (word in w.WITHIN or word in w.ARTICLES)
            or (word in _LEVEL_BEFORE and end + 1 < len(found) and found[end + 1].kind is TokenKind.NUMBER)
        ):
            break
        end += 1
    if last == at or (not lit and last == at + 1 and found[at].kind is TokenKind.FILLER):
        return 0, None
    before = [token.text.casefold() for token in found[max(at - 2, 0) : at]]
    shown = re.sub(r"['’]s\Z", "", text[found[at].start : found[last - 1].end]).strip(" .:-–—\"'“”")
    if not re.search(r"[^\W\d_]", shown):
        return 0, None
    points = bool(w.POINTING & set(before[-2:])) and before[-1:] != ["that"]
    led = points or any(word in w.FOR for word in before[-2:])
    article = bool(before) and before[-1] in w.ARTICLES
    told = any(word in w.COPULAS for word in before[-2:]) and at > 1 and not _opens(found, at, before)
    told = told or ((before[-1:] == ["with"] or before[-2:-1] == ["with"]) and set(said) <= MODIFIERS)
    return last - at, Item(
        Is.NAME,
        shown,
        found[at].start,
        found[last - 1].end,
        lit=lit,
        led=led,
        article=article,
        told=told and not points,
        points=points,
        words=tuple(said),
    )


def _opens(found: Sequence[Token], at: int, before: Sequence[str]) -> bool:
    """Whether nothing but "it's" or "that's" stands before: then it is the name."""
    first = next((i for i in (1, 2) if before[-i:][:1] and before[-i] in w.COPULAS), 1)
    return (
        at - first == 0
        or found[at - first - 1].kind is TokenKind.MARK
        or before[-first] in ("it's", "that's")
    )


def _small(found: Sequence[Token], at: int) -> bool:
    """Whether a small number may be a part of a name: nothing behind it says what it counts."""
    return found[at].text.isdigit() and len(found[at].text) < 4
