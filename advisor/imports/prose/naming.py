"""Whose the CCTs of a line are: the likeliest name before each, or behind it where the numbers come first."""

import itertools
from collections.abc import Sequence

from . import vocabulary as w
from .clauses import Told, clause, ends_between
from .items import Is, Item
from .series import names_of

_POINTS_TO = frozenset({"=", ">", "→", "-", "–", "(", ":"})
_JOINS = frozenset({"and", "&", "+", "und", "et", "y", "e", "en", "i", "och", ","})


def give_names(items: Sequence[Item], kept: Sequence[Told], before: str, last: str) -> None:
    """Give each CCT its names; `before` is the name told before the line, `last` that of the last reading.

    A name in a row with others ("key and fill 5600") gives the CCT to all of them.
    """
    if not kept:
        return
    names = [i for i, item in enumerate(items) if item.kind is Is.NAME]
    places = [each.at for each in kept]
    ahead = [i for i in names if i < places[0]]
    ends = [*places[1:], len(items)]
    gaps = [[i for i in names if a < i < b] for a, b in zip(places, ends, strict=True)]
    number_first = not ahead and all(gaps) and _numbers_lead(items, names, len(places), before)
    taken: set[int] = set()
    stem = last or before
    for place, each in enumerate(kept):
        behind = gaps[place]
        among = [i for i in (gaps[place - 1] if place else ahead) if i not in taken]
        best = _best(items, behind if number_first else among, each.at)
        best = _pointed(items, behind, each.at, best)
        if best is None and place + 1 == len(places):
            best = _best(items, [i for i in behind if items[i].lit], each.at)
        if best is None:
            each.names = [stem] if stem and not number_first else []
            continue
        together = _together(items, best, among if best < each.at else behind)
        taken |= {best, *together}
        each.names = [name for i in together for name in names_of(with_stem(items[i], stem))]
        stem = each.names[-1]
    _one_each(kept)


def _numbers_lead(items: Sequence[Item], names: Sequence[int], count: int, before: str) -> bool:
    plain = count > 1 or not before or any(items[i].lit or items[i].led for i in names)
    return plain or items[names[0] - 1].text in _POINTS_TO


def _best(items: Sequence[Item], among: Sequence[int], at: int) -> int | None:
    """Return the place of the likeliest name for the CCT at a place. The weights are our own judgement."""

    def score(i: int) -> float:
        low, high = min(i, at), max(i, at)
        between, item = items[low + 1 : high], items[i]
        return (
            3.0 * item.lit
            + 0.5 * item.article
            + (2.0 if i > at else -1.0) * item.led
            - 1.5 * ends_between(items, low, high)
            - 0.4 * sum(each.kind is Is.PART for each in between)
            - 0.1 * len(between)
            - 4.0 * (item.told and not (item.lit and i + 1 == at))
            - 2.0 * _unread(items, i)
        )

    return max(among, key=score, default=None)


def _pointed(items: Sequence[Item], behind: Sequence[int], at: int, best: int | None) -> int | None:
    """Return the name behind a CCT that words say it is of, if it is likelier than the `best` before it."""
    led = [i for i in behind if items[i].led and items[i].lit]
    led = [i for i in led if items[i].points or not ends_between(items, at, i)]
    if not led or (
        best is not None and items[best].lit and not (items[led[0]].points and _unread(items, best))
    ):
        return best
    return led[0]


def _unread(items: Sequence[Item], at: int) -> bool:
    """Whether a name stands where a label's figure, or what is wanted, is told of it."""
    start, end = clause(items, at)
    return any(item.kind in (Is.TOLD, Is.WANTED) for item in items[start:end])


def _together(items: Sequence[Item], at: int, among: Sequence[int]) -> list[int]:
    """Return the places of the names that stand in a row with one: "key and fill"."""
    out = [at]
    for i in sorted((i for i in among if i < at), reverse=True):
        between = items[i + 1 : out[0]]
        joined = between and all(item.text in _JOINS and item.kind in (Is.WORD, Is.PART) for item in between)
        if not joined or not items[i].lit or not items[at].lit:
            break
        out.insert(0, i)
    return out


def with_stem(item: Item, stem: str) -> str:
    """Return a name, with what the name before was of where this one is a place alone: "cyc left", "mid"."""
    if item.text.casefold().endswith((" one", " ones")):
        return _of_stem(item, stem)
    own = [word for word in item.words if word not in w.STOPS or word in w.PLACES]
    if not stem or not own or not all(word in w.PLACES for word in own):
        return item.text
    root = " ".join(word for word in stem.split() if word.casefold() not in w.PLACES)
    return f"{root} {item.text}" if root and root != stem else item.text


def _of_stem(item: Item, stem: str) -> str:
    """Return "little window" for "the little one", where the name before was "big window"."""
    head = list(itertools.takewhile(lambda word: word.casefold() not in w.WITHIN, stem.split()))
    lit = [word for word in head if word.casefold() in w.LIGHTS]
    return f"{item.words[0]} {lit[-1]}" if lit else item.text


def _one_each(kept: Sequence[Told]) -> None:
    """Give names in a row one CCT each, where as many CCTs stand in a row behind them."""
    for at, each in enumerate(kept):
        run = kept[at : at + len(each.names)]
        if 1 < len(each.names) == len(run) and all(other.names == each.names[-1:] for other in run[1:]):
            for other, name in zip(run, list(each.names), strict=True):
                other.names = [name]
