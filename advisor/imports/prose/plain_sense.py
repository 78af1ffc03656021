"""Whether the gist of a line leaves no doubt: each name with its CCT behind it, and no word denying it."""

from collections.abc import Sequence

from ..vocabulary.headings import Field
from . import vocabulary as w
from .clauses import CCTS, Told, clause, is_cct
from .item import Is, Item
from .series import names_of

_DOUBTFUL = frozenset({Is.WANTED, Is.TOLD, Is.NOT, Is.DITTO, Is.UNKNOWN})
_OTHERWISE = w.OTHERS | w.FORMERLY | w.POINTING | {"except", "or", "maybe", "but", "?"}
_JOINS = frozenset({"and", "&", "+", "und", "et", "y", "och", "i"})
_BEFORE_NAME = w.ARTICLES | _JOINS | {"rest", "is"}


def is_plain(items: Sequence[Item], told: Sequence[Told], kept: Sequence[Told]) -> bool:
    """Whether the readings `kept` of all CCTs `told` are what anybody would read in the line.

    Each CCT has one name before it, which begins its clause, and every other figure stands behind that name
    or is said of all. A name without a figure behind it is talk.
    """
    if len(kept) != len(told) or any(
        item.kind is Is.UNKNOWN or item.mended or item.text in _OTHERWISE for item in items
    ):
        return False
    starts = [i for i, item in enumerate(items) if item.kind is Is.NAME]
    if len(told) == len(starts) == 1 and _is_number_first(items, kept[0], items[starts[0]]):
        return True
    ends = [*starts[1:], len(items)]
    if not starts or any(item.kind in (Is.FIGURE, Is.GEL) for item in items[: starts[0]]):
        return False
    by_index = {each.at: each for each in kept}
    for start, end in zip(starts, ends, strict=True):
        part = range(start + 1, end)
        ccts = [i for i in part if is_cct(items[i])]
        own = [i for i in part if items[i].kind in (Is.FIGURE, Is.GEL) and not _of_all(items, i)]
        if not ccts and not own:
            continue
        if (
            len(ccts) != 1
            or any(items[i].kind in _DOUBTFUL and not _repeats(items, i) for i in part)
            or not _begins(items, start)
        ):
            return False
        each = by_index[ccts[0]]
        if each.names != names_of(items[start].text) or any(
            items[i].kind is Is.END for i in range(start, ccts[0])
        ):
            return False
        if not _has_all(each, [items[i] for i in own]):
            return False
    return True


def _is_number_first(items: Sequence[Item], each: Told, name: Item) -> bool:
    """Whether a line is one CCT with what goes with it, and one name behind it: "5480 key"."""
    bare = all(i.kind in (Is.FIGURE, Is.GEL, Is.NAME, Is.PART) or i.text in w.ARTICLES for i in items)
    figures = [item for item in items if item.kind in (Is.FIGURE, Is.GEL) and not is_cct(item)]
    return bare and name.lit and each.names == names_of(name.text) and _has_all(each, figures)


def _has_all(told: Told, own: Sequence[Item]) -> bool:
    """Whether each figure behind a name went to its CCT, once."""
    fields = [item.field for item in own if item.field is not None and item.field not in CCTS]
    gels = [item.text for item in own if item.kind is Is.GEL]
    went = all(item.field is None or told.cells.get(item.field) == item.text for item in own)
    return went and len(set(fields)) == len(fields) and all(gel in told.gels for gel in gels)


def _of_all(items: Sequence[Item], at: int) -> bool:
    """Whether a dim level is said of all readings, in a clause of its own."""
    start, end = clause(items, at)
    said = items[start:end]
    level = items[at].field is Field.LEVEL
    return level and any(item.kind is Is.ALL for item in said) and not any(map(is_cct, said))


def _repeats(items: Sequence[Item], at: int) -> bool:
    """Whether a line ends in "/ ditto" behind its CCT: its Duv is that of the line above."""
    return items[at].text == "ditto" and at + 1 == len(items) and at > 1 and is_cct(items[at - 2])


def _begins(items: Sequence[Item], at: int) -> bool:
    """Whether a name begins its clause, or stands in a row: "key 5600 and the fill 5480"."""
    joined = False
    while at > 0 and items[at - 1].text in _BEFORE_NAME:
        at -= 1
        joined = joined or items[at].text in _JOINS
    return at == 0 or items[at - 1].kind in (Is.PART, Is.END) or (joined and items[at - 1].kind is Is.FIGURE)
