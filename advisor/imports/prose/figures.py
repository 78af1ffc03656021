"""Which figures and gels of a line go with which of its CCTs."""

import itertools
from collections.abc import Container, Sequence

from ..vocabulary.headings import Field
from .clauses import CCTS, DUVS, Told, clause, is_cct
from .item import Is, Item

_EACH = frozenset({"each", "apiece", "jeweils", "chacun", "chacune"})


def give_figures(items: Sequence[Item], told: Sequence[Told], kept: Sequence[Told]) -> None:
    """Give every other figure, and every gel, to the CCT that it goes with; one for all goes to each."""
    pending: list[Item] = []
    current: Told | None = None
    named = False
    by_index = {each.at: each for each in told}
    listed = _in_order(items, kept)
    begins = min(by_index, default=0)
    numbers_lead = not any(item.kind is Is.NAME for item in items[:begins])
    for i, item in enumerate(items):
        if i in by_index:
            current, named = by_index[i], False
            for each in pending:
                _put(current, each)
            pending = []
        elif item.kind is Is.END:
            pending = [each for each in pending if each.kind is Is.GEL]  # "those that I sent at 10."
        elif item.kind is Is.NAME:
            named = named or (current is not None and (item.lit or clause(items, i)[0] > current.at + 1))
        elif item.kind is Is.GEL or (item.kind is Is.FIGURE and item.field not in CCTS):
            start, end = clause(items, i)
            if i in listed or (current is not None and _is_of_same(items, i, current.at)):
                continue
            if (i > start and items[i - 1].kind is Is.NOT) or (item.kind is Is.GEL and _is_wished(items, i)):
                continue
            if kept and (_is_for_all(items, i, start, end) or (current is None and _is_title(items, i))):
                for reading in kept:
                    _put(reading, item)
            elif (
                current is None
                or (named and not numbers_lead and _is_next(items, i, by_index))
                or (_opens_sentence(items, i, by_index) and _is_next(items, i, by_index))
                or (item.field is Field.LEVEL and _leads(items, i))
                or (item.kind is Is.GEL and _is_ahead(items, i, start, end))
            ):
                pending.append(item)
            else:
                _put(_whose(items, i, current, kept), item)


def _in_order(items: Sequence[Item], kept: Sequence[Told]) -> set[int]:
    """Give each CCT its Duv out of a list behind them all, in its order: "Duvs: .0005, .004, -.001"."""
    last = kept[-1].at if kept else len(items)
    rest = [i for i in range(last + 1, len(items)) if items[i].kind is Is.FIGURE]
    run = list(itertools.takewhile(lambda i: items[i].field is Field.DUV, rest))
    if len(run) < 2 or len(run) != len(kept) or any(items[i].kind is Is.NAME for i in range(run[0], run[-1])):
        return set()
    for each, i in zip(kept, run, strict=True):
        _put(each, items[i])
    return set(run)


def _is_of_same(items: Sequence[Item], at: int, cct: int) -> bool:
    """Whether a figure is of a source that is as another, but for that: "right one same K, minus .0012"."""
    follows = itertools.takewhile(
        lambda k: items[k].kind is not Is.END and not is_cct(items[k]), range(at, len(items))
    )
    named = any(item.kind is Is.NAME and item.lit for item in items[cct + 1 : at])
    if named and any(items[k].kind is Is.DITTO for k in follows):
        return True  # "fill 20 fc, same colour"
    ditto = next((k for k in range(at, cct, -1) if items[k].kind is Is.DITTO), None)
    return ditto is not None and any(item.kind is Is.NAME for item in items[cct + 1 : ditto])


def _whose(items: Sequence[Item], at: int, current: Told, kept: Sequence[Told]) -> Told:
    """Return whose a figure is: not of a CCT that was not read, where its clause is over."""
    if any(each is current for each in kept):
        return current
    over = any(item.kind is Is.END or item.text in ",;)" for item in items[current.at + 1 : at])
    before = [each for each in kept if each.at < at]
    return before[-1] if over and before else current


def _opens_sentence(items: Sequence[Item], at: int, ccts: Container[int]) -> bool:
    """Whether no CCT stands before a figure in its sentence, and another sentence before that one."""
    for i in range(at - 1, -1, -1):
        if i in ccts:
            return False
        if items[i].kind is Is.END:
            return True
    return False


def _is_wished(items: Sequence[Item], at: int) -> bool:
    """Whether its sentence says before a gel that it is wanted: "if we put ½ CTO on it"."""
    ahead = list(itertools.takewhile(lambda item: item.kind is not Is.END, reversed(items[:at])))
    return any(item.kind is Is.WANTED for item in ahead)


def _is_next(items: Sequence[Item], at: int, ccts: Container[int]) -> bool:
    """Whether another CCT comes behind a figure, before its sentence ends."""
    for i in range(at + 1, len(items)):
        if i in ccts:
            return True
        if items[i].kind is Is.END:
            return False
    return False


def _is_for_all(items: Sequence[Item], at: int, start: int, end: int) -> bool:
    """Whether a figure is told of all readings, in a clause of its own or with "on all of them" behind it."""
    if any(map(is_cct, items[start:end])):
        return False
    own = start > 0 and is_cct(items[start - 1]) and not any(i.kind is Is.NAME for i in items[start:at])
    if own and any(each.text in _EACH for each in items[at + 1 : at + 4]):
        return False  # "tubes 4100 +.008 each": of the tubes alone
    return any(each.kind is Is.ALL for each in (*items[start:end], *items[at + 1 : at + 4]))


def _is_title(items: Sequence[Item], at: int) -> bool:
    """Whether a gel or a level stands above all readings: "all with full CTB on: key 4950, fill 5010"."""
    if any(item.kind is Is.NAME for item in items[:at]) or items[at].field not in (None, Field.LEVEL):
        return False
    behind = next((item for item in items[at + 1 : at + 5] if item.kind is not Is.WORD), None)
    return behind is not None and behind.text == ":"


def _is_ahead(items: Sequence[Item], at: int, start: int, end: int) -> bool:
    """Whether a gel stands in the clause of the CCT behind it: "5900, with the ½ CTO on it 3950"."""
    parted = start > 0 and not is_cct(items[start - 1])
    nameless = not any(item.kind is Is.NAME for item in items[at:end])
    return parted and nameless and end < len(items) and is_cct(items[end])


def _leads(items: Sequence[Item], at: int) -> bool:
    """Whether a dim level stands right before a CCT: "50%: 5570"."""
    for item in items[at + 1 : at + 4]:
        if is_cct(item):
            return True
        if item.kind is not Is.PART or item.text in ",;":
            return False
    return False


def _put(told: Told, item: Item) -> None:
    if item.kind is Is.GEL:
        told.gels.append(item.text)
    elif item.field is not None and not ({item.field} | (DUVS if item.field in DUVS else set())) & set(
        told.cells
    ):
        told.cells[item.field] = item.text
