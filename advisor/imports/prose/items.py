"""A line as what its words are for: names, figures, what parts them, what says they were not read."""

import itertools
import re
from collections.abc import Sequence
from dataclasses import replace

from ..sentences.token import Token, TokenKind
from ..sentences.tokens import tokens
from ..sentences.values import like_cct
from ..vocabulary.headings import Field
from ..vocabulary.spoken import MODIFIERS
from ..vocabulary.words import words
from . import vocabulary as w
from .item import Is, Item
from .numbers import LEVEL_BEFORE, figure_of, is_head, misses_a_digit

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
_IF_SO = frozenset({"if", "wenn", "si", "se"})
_NOT_WHERE = frozenset({"with", "w/", "to", "on", "off", "of"})
_AGAINST = words("up under over below above down hotter brighter darker unter über sous sotto bajo")
_STOPS_OF_LIGHT = frozenset({"stop", "stops", "third", "thirds", "half", "blende", "blenden", "diaph"})
_NUMBERED = frozenset({"number", "nummer", "numéro", "número", "numero", "nr"})
_WHICH = words("little big small left right tall short first second third last top bottom near far old new")
_ORDINALS = words(
    "first second third fourth last other erste zweite dritte premier première deuxième primera segunda"
)
_PLACED = words("side row end wall place spot position height angle room stand level stage")
"""Behind "same" these say where a light is, and nothing of its figures."""
_BETWEEN = w.COPULAS | w.READ | words("one ones : at was")
_HOURS = words("one two three four five six seven eight nine ten eleven twelve noon lunch wrap")
_AT_HOUR = words("at by around till until before after from since")
_FULL = frozenset({"fl", "full"})


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
    following = found[at + 1] if at + 1 < len(found) else None
    then = following.text.casefold() if following is not None else ""
    if token.field is Field.DIAL_CCT or _is_set(found, at):
        return 1, Item(Is.WANTED, word, token.start, token.end)
    if token.kind is TokenKind.MARK:
        kind = Is.END if token.text in _ENDS else Is.PART
        return 1, Item(kind, token.text, token.start, token.end)
    if token.kind is TokenKind.GEL:
        return 1, Item(Is.GEL, token.text, token.start, token.end)
    if token.kind is TokenKind.NUMBER:
        pair = figure_of(found, at, out)
        if pair is not None:
            field, figure = pair
            ten = field is Field.CCT and not token.unit and figure != token.text
            return 1, Item(Is.FIGURE, figure, token.start, token.end, field, mended=ten)
        count, name = _name(text, found, at)
        if name is not None:
            return count, name
        return 1, Item(Is.UNKNOWN, token.text, token.start, token.end)
    if word in _WHICH and following is not None and then in ("one", "ones"):
        led = at > 1 and found[at - 2].text.casefold() in w.FOR
        count, place = _where(text, found, at + 2)
        end = place.end if place is not None else following.end
        one = Item(Is.NAME, text[token.start : end], token.start, end, lit=True, led=led, article=True)
        return 2 + count, replace(one, words=(word, *(place.words if place is not None else ())))
    if word in _ORDINALS and _counts_on(found, at):
        end = found[at + 1].end if then in ("one", "ones") else token.end
        named = Item(Is.NAME, f"{token.text} one", token.start, end, lit=True, article=True, words=(word,))
        return 1 + (end > token.end), named
    if word in _FULL and at and found[at - 1].text.casefold() in LEVEL_BEFORE:
        return 1, Item(Is.FIGURE, "100 %", token.start, token.end, Field.LEVEL)
    if word in w.PANELS and then in w.SAYING and _sets(found, at):
        return 1, Item(Is.TOLD, word, token.start, token.end)
    if word in _NUMBERED and following is not None and following.bare and _small(found, at + 1):
        number = Item(Is.NAME, text[token.start : following.end], token.start, following.end, lit=True)
        return 2, replace(number, words=(word, following.text))
    count, name = _name(text, found, at)
    if name is not None:
        return count, name
    if word[:1].isdigit():
        return 1, Item(Is.UNKNOWN, word, token.start, token.end)  # "+3.8c"
    if word in _IF_SO and following is not None and then in ("so", "that", "possible", "poss", "needed"):
        return 2, Item(Is.WORD, word, token.start, following.end)
    if word in ("match", "matched") and not (out and out[-1].text in ("to", "should", "must")):
        return 1, Item(Is.WORD, word, token.start, token.end)
    if _is_placed(found, at):
        return 1, Item(Is.WORD, word, token.start, token.end)
    for kind, those in ((Is.ALL, w.ALL), (Is.DITTO, w.DITTO), (Is.NOT, w.NOT), (Is.WANTED, w.WANTED)):
        if word in those:
            return 1, Item(kind, word, token.start, token.end)
    may_be = word in _MAY and then == "be"
    noted = word == "written" and then == "down"
    kind = Is.TOLD if may_be or (word in w.TOLD and not noted) else Is.WORD
    return 1, Item(kind, word, token.start, token.end)


def _is_placed(found: Sequence[Token], at: int) -> bool:
    """Whether "same" says where a light is: "Chan 12 same side lower row"."""
    same = found[at].text.casefold() == "same" and at + 1 < len(found)
    return same and found[at + 1].text.casefold() in _PLACED


def _counts_on(found: Sequence[Token], at: int) -> bool:
    """Whether a word of an order tells which light, beside another: "first one is 6120, second 6150"."""
    behind = [token for token in found[at + 1 : at + 5] if token.text.casefold() not in _BETWEEN]
    counted = bool(behind) and like_cct(behind[0])
    return counted and any(token.text.casefold() in _ORDINALS for i, token in enumerate(found) if i != at)


def _sets(found: Sequence[Token], at: int) -> bool:
    """Whether a CCT alone is what a desk or a dial says: with a Duv it is a lamp's on a desk."""
    behind = found[at + 1 : at + 2 * _LONGEST_NAME]
    number = next((i for i, token in enumerate(behind) if token.kind is TokenKind.NUMBER), None)
    if number is None or not (like_cct(behind[number]) or behind[number].unit in ("k", "K")):
        return False
    rest = behind[number + 1 : number + 3]
    return not any(token.kind is TokenKind.NUMBER or token.field is Field.DUV for token in rest)


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
    long = token.kind is TokenKind.NUMBER or token.text == ")" or len(word) > _SHORTENED
    return long or word in w.LIGHTS or word in _WHOLE


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
            if end > at and misses_a_digit(found, end):
                break
            numbered = (
                end > at
                and 0 < (token.values or (0,))[0] < 1000
                and not token.signed
                and "." not in token.text
            )
            alone = end > at and found[end - 1].text.casefold() in LEVEL_BEFORE
            kilowatts = end == at and token.unit in ("k", "K") and is_head(found, at)
            if not (kilowatts or (numbered and not token.unit and not alone and _small(found, end))):
                break
            said.append(word)
            last, lit = end + 1, lit or kilowatts
        elif token.kind not in (TokenKind.WORD, TokenKind.FILLER) or re.match(r"\d*\.\d", word):
            break  # "3.8c" is a figure that nobody knows
        elif w.is_light(bare) or bare in w.PLACES or not w.is_stop(bare) or _is_placed(found, end):
            if not re.search(r"[^\W\d_]", word) and end == at:
                break
            said.append(bare)
            last, lit = end + 1, lit or w.is_light(bare)
            if bare != word and found[end].text[-2:-1] in "'’":
                end += 1
                break  # "the balloon's 5520"
        elif (
            end == at
            or not (word in w.WITHIN or word in w.ARTICLES)
            or (word in LEVEL_BEFORE and end + 1 < len(found) and _is_level(found[end + 1]))
        ):
            break
        end += 1
    if last == at or (not lit and last == at + 1 and found[at].kind is TokenKind.FILLER):
        return 0, None
    before = [token.text.casefold() for token in found[max(at - 2, 0) : at]]
    hour = said[0] in _HOURS and last == at + 1 and before[-1:] and before[-1] in _AT_HOUR
    if hour or _is_compared(found, at):
        return last - at, Item(Is.WORD, found[at].text.casefold(), found[at].start, found[last - 1].end)
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


def _is_level(token: Token) -> bool:
    return token.kind is TokenKind.NUMBER or token.text.casefold() in _FULL


def _where(text: str, found: Sequence[Token], at: int) -> tuple[int, Item | None]:
    """Return where "the big one" is, "outside the windscreen", and how many tokens from `at` on say so."""
    if at >= len(found) or found[at].text.casefold() not in w.WITHIN - LEVEL_BEFORE - _NOT_WHERE:
        return 0, None
    if text[found[at - 1].end : found[at].start] != " ":
        return 0, None
    first = at + 1
    while first < len(found) and first < at + 3 and found[first].text.casefold() in w.ARTICLES:
        first += 1
    count, place = _name(text, found, first) if first < len(found) else (0, None)
    if place is None and first < len(found) and found[first].text.isalpha() and len(found[first].text) > 2:
        one = found[first]  # "behind the car", which is a word of talk elsewhere
        count, place = 1, Item(Is.NAME, one.text, one.start, one.end, words=(one.text.casefold(),))
    return (first + count - at, place) if place is not None and place.kind is Is.NAME else (0, None)


def _is_compared(found: Sequence[Token], at: int) -> bool:
    """Whether another light is measured by this one: "two stops under key", "warmer than the fill"."""
    said = [token.text.casefold() for token in found[max(at - 4, 0) : at]]
    said = [token.unit or word for token, word in zip(found[max(at - 4, 0) : at], said, strict=True)]
    said = [word for word in said if word not in w.ARTICLES | {"on", "from", "of"}]
    stops = any(word in _STOPS_OF_LIGHT for word in said[:-1])
    return said[-1:] == ["than"] or (stops and said[-1] in _AGAINST)


def _opens(found: Sequence[Token], at: int, before: Sequence[str]) -> bool:
    """Whether nothing but "it's" or "that's" stands before: then it is the name."""
    first = next((i for i in (1, 2) if before[-i:][:1] and before[-i] in w.COPULAS), 1)
    return (
        at - first == 0
        or found[at - first - 1].kind is TokenKind.MARK
        or before[-first] in ("it's", "that's")
    )


def _small(found: Sequence[Token], at: int) -> bool:
    """Whether a number of up to three digits may be a part of a name: “lamp 12”."""
    return found[at].text.isdigit() and len(found[at].text) < 4
