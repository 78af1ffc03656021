"""Whose the CCTs of a line are: the likeliest name before each, or behind it where the numbers come first."""

import itertools
import re
from collections.abc import Sequence

from ..vocabulary.headings import Field
from . import vocabulary as w
from .clauses import Told, clause, ends_between, is_cct
from .item import Is, Item
from .series import names_of

_POINTS_TO = frozenset({"=", ">", "→", "-", "–", "(", ":"})
_NAMELESS = -6.0
"""How likely it is that a CCT goes without a name, where one stands beside it: hardly. Our own judgement."""
_NOT_LED = 1.5
"""How much less likely a name behind its CCT is, where no "for" leads to it. Our own judgement."""
_BEFORE = 4.0
"""How much less likely it is where one stands before the CCT, of which the sentence is. Our own judgement."""
_MOST_WAYS = 24
_ONE = frozenset({"one", "one's", "other", "another", "both"})
_COUNT = re.compile(r"\A(?:two|three|four|five|six|both|all)\s", re.IGNORECASE)
_L_TO_R = re.compile(r"\s(?:from\s)?(?:L\sto\sR|L\s?[-–>]\s?R|left\sto\sright)\Z", re.IGNORECASE)
_AGAIN = frozenset(
    {"now", "then", "was", "before", "after", "later", "again", "bare", "same", "with", "without"}
)
_SINGULAR = r"\1"
_PLURAL = re.compile(r"\b([^\W\d_]{2,}[^\Ws])s\Z", re.IGNORECASE)
_PLURAL_AT = re.compile(r"\b([^\W\d_]{3,}[^\Ws])s(?=\s(?:[LR]|left|right)\Z)")
_JOINS = frozenset({"and", "&", "+", "und", "et", "y", "e", "en", "i", "och", ","})


def give_names(items: Sequence[Item], kept: Sequence[Told], before: str, last: str) -> None:
    """Give each CCT its names; `before` is the name told before the line, `last` that of the last reading.

    A name in a row with others ("key and fill 5600") gives the CCT to all of them.
    """
    if not kept:
        return
    names = [i for i, item in enumerate(items) if item.kind is Is.NAME]
    ccts = [each.at for each in kept]
    ahead = [i for i in names if i < ccts[0]]
    ends = [*ccts[1:], len(items)]
    gaps = [[i for i in names if a < i < b] for a, b in zip(ccts, ends, strict=True)]
    number_first = not ahead and all(gaps) and _numbers_lead(items, names, len(ccts), before)
    choices = [
        _choices(items, (gaps[k - 1] if k else ahead, gaps[k]), at, number_first) for k, at in enumerate(ccts)
    ]
    chosen = _likeliest(choices)
    if chosen[-1] is None:
        lit = [i for i in gaps[-1] if items[i].lit and not _unread(items, i) and not _is_denied(items, i)]
        chosen[-1] = max(lit, key=lambda i: _score(items, i, ccts[-1]), default=None)
    taken = {i for i in chosen if i is not None}
    sided = _said_before(items, ahead, taken)
    stem = sided or last or before
    for k, (each, best) in enumerate(zip(kept, chosen, strict=True)):
        if best is None:
            each.names = [stem] if stem and not number_first else []
            continue
        among = (gaps[k - 1] if k else ahead) if best < each.at else gaps[k]
        together = _together(items, best, [i for i in among if i == best or i not in taken])
        taken |= set(together)
        each.names = [
            name for i in together for name in names_of(with_stem(items[i], stem, sided=bool(sided)))
        ]
        stem = each.names[-1]
    _one_each(kept)
    _number_those(items, kept)
    _one_of_several(kept, apart=any(item.text in _ONE for item in items))


def _said_before(items: Sequence[Item], ahead: Sequence[int], taken: set[int]) -> str:
    """Return the light that a line speaks of before figures of its sides: "check the cyc? 5350 left"."""
    own = [i for i in ahead if items[i].lit and not _is_one(items[i])]
    lit = [i for i in own if not set(items[i].words) <= w.PLACES]
    return items[lit[-1]].text if lit and lit[-1] not in taken else ""


def _numbers_lead(items: Sequence[Item], names: Sequence[int], count: int, before: str) -> bool:
    plain = count > 1 or not before or any(items[i].lit or items[i].led for i in names)
    return plain or items[names[0] - 1].text in _POINTS_TO


def _choices(
    items: Sequence[Item], around: tuple[Sequence[int], Sequence[int]], at: int, number_first: bool
) -> dict[int, float]:
    """Return the names that a CCT may have, from before and from behind it, each with how likely it is."""
    ahead, behind = around
    out = {i: _score(items, i, at) for i in ahead}
    subject = any(_is_subject(items, i, at) for i in ahead)
    for i in behind:
        item = items[i]
        over = ends_between(items, at, i) and not item.points
        side = item.led and all(word in w.PLACES for word in item.words)
        if number_first or ((item.lit or side) and not over):
            doubt = _NOT_LED * (not item.led) + _BEFORE * subject
            out[i] = _score(items, i, at) - doubt * (not number_first)
    return out


def _is_subject(items: Sequence[Item], i: int, at: int) -> bool:
    """Whether a name is what the sentence of a CCT is about: "the janela is 6050, 480 lux at the table"."""
    item = items[i]
    named = item.lit or item.article or items[i - 1].kind in (Is.PART, Is.END, Is.FIGURE) or i == 0
    return (
        named and not item.led and not item.told and not ends_between(items, i, at) and not _unread(items, i)
    )


def _likeliest(choices: Sequence[dict[int, float]]) -> list[int | None]:
    """Return a name for each CCT, none twice and all in order, so that they are likeliest together."""
    ways: dict[int, tuple[float, list[int | None]]] = {-1: (0.0, [])}
    for each in choices:
        after: dict[int, tuple[float, list[int | None]]] = {}
        for last, (score, way) in ways.items():
            for name, likely in [(None, _NAMELESS), *((i, s) for i, s in each.items() if i > last)]:
                end = last if name is None else name
                if end not in after or after[end][0] < score + likely:
                    after[end] = score + likely, [*way, name]
        ways = dict(sorted(after.items(), key=lambda one: -one[1][0])[:_MOST_WAYS])
    return max(ways.values(), key=lambda one: one[0])[1]


def _score(items: Sequence[Item], i: int, at: int) -> float:
    """Say how likely the name at index `i` is that of the CCT at `at`. The weights are our own judgement."""
    low, high = min(i, at), max(i, at)
    between, item = items[low + 1 : high], items[i]
    return (
        3.0 * (item.lit or ((i + 1 == at or (i > at and item.led)) and set(item.words) <= w.PLACES))
        + 0.5 * item.article
        + (2.0 if i > at else -1.0) * item.led
        + 2.0 * (item.points and i > at)
        - 1.5 * ends_between(items, low, high)
        - 0.4 * sum(each.kind is Is.PART for each in between)
        - 0.1 * len(between)
        - 4.0 * (item.told and not (item.lit and i + 1 == at))
        - 2.0 * _unread(items, i)
        - 4.0 * _is_denied(items, i)
    )


def _is_denied(items: Sequence[Item], at: int) -> bool:
    """Whether a name stands in a clause that says that it was not read: "didn't do the back yet"."""
    start, end = clause(items, at)
    here = items[start:end]
    told = any(item.kind is Is.FIGURE for item in here) or (end < len(items) and is_cct(items[end]))
    return not told and any(item.kind is Is.NOT or item.text in w.NOT_DONE for item in here)


def _unread(items: Sequence[Item], at: int) -> bool:
    """Whether a name stands where a label's figure, or what is wanted, is told of it."""
    start, end = clause(items, at)
    return any(item.kind in (Is.TOLD, Is.WANTED) for item in items[start:end])


def _together(items: Sequence[Item], at: int, among: Sequence[int]) -> list[int]:
    """Return the indices of the names that stand in a row with the one at `at`: "key and fill"."""
    out = [at]
    for i in sorted((i for i in among if i < at), reverse=True):
        between = items[i + 1 : out[0]]
        joined = between and all(item.text in _JOINS and item.kind in (Is.WORD, Is.PART) for item in between)
        if not joined or not items[i].lit or not items[at].lit or _is_one(items[out[0]]):
            break
        out.insert(0, i)
    return out


def with_stem(item: Item, stem: str, *, sided: bool = False) -> str:
    """Return a name, with what the name before was of where this one is a place alone: "cyc left", "mid".

    `sided` is whether what was named before is known to have sides.
    """
    if _is_one(item):
        return _of_stem(item, stem)
    own = [word for word in item.words if word not in w.STOPS or word in w.PLACES]
    if not stem or not own or not all(word in w.PLACES for word in own):
        return item.text
    root = " ".join(word for word in stem.split() if word.casefold() not in w.PLACES)
    return f"{root} {item.text}" if root and (sided or root != stem) else item.text


def _is_one(item: Item) -> bool:
    """Whether a name stands for a light that was named before: "the little one"."""
    return item.text.casefold().endswith((" one", " ones"))


def _of_stem(item: Item, stem: str) -> str:
    """Return "little window" for "the little one", where the name before was "big window"."""
    head = list(itertools.takewhile(lambda word: word.casefold() not in w.WITHIN, stem.split()))
    lit = [word for word in head if word.casefold() in w.LIGHTS]
    return f"{item.words[0]} {_PLURAL.sub(_SINGULAR, lit[-1])}" if lit else item.text


def _number_those(items: Sequence[Item], kept: Sequence[Told]) -> None:
    """Give lights that are told in their order a number each: "3 redheads: 3180, 3200, 3150"."""
    if any(item.text in _ONE for item in items):
        return
    at = 0
    while at < len(kept):
        names = kept[at].names
        run = kept[at : at + 1]
        while at + len(run) < len(kept) and kept[at + len(run)].names == names:
            run = kept[at : at + len(run) + 1]
        at += len(run)
        root = _COUNT.sub("", _L_TO_R.sub("", names[0])) if len(names) == 1 else ""
        between = items[run[0].at : run[-1].at]
        stood = any(
            item.kind is Is.GEL or item.field is Field.LEVEL or item.text in _AGAIN for item in between
        )
        if len(run) > 1 and _PLURAL.search(root) and not stood:
            for number, each in enumerate(run, 1):
                each.names = [f"{_PLURAL.sub(_SINGULAR, root)} {number}"]


def _one_of_several(kept: Sequence[Told], *, apart: bool) -> None:
    """Call one light as one: "both windows, one's 6200, the other 5950", "softs L 5590 R 5630".

    `apart` is whether the line speaks of one and the other.
    """
    names = [name for each in kept for name in each.names]
    for each in kept:
        each.names = [_as_one(name, again=apart and names.count(name) > 1) for name in each.names]


def _as_one(name: str, *, again: bool) -> str:
    """Return the name of one light of several: "window" for "both windows", where it comes `again`."""
    if again and _PLURAL.search(name):
        return _COUNT.sub("", _PLURAL.sub(_SINGULAR, name))
    return _PLURAL_AT.sub(_SINGULAR, name)


def _one_each(kept: Sequence[Told]) -> None:
    """Give names in a row one CCT each, where as many CCTs stand in a row behind them."""
    for at, each in enumerate(kept):
        run = kept[at : at + len(each.names)]
        if 1 < len(each.names) == len(run) and all(other.names == each.names[-1:] for other in run[1:]):
            for other, name in zip(run, list(each.names), strict=True):
                other.names = [name]
