"""Which of the CCTs in a line were read: not those that are wanted, a label's, taken back, or asked for."""

import itertools
from collections.abc import Iterator, Sequence

from ..vocabulary.words import words
from . import vocabulary as w
from .clauses import DUVS, Told, clause, ends_between, has_duv
from .item import Is, Item

_NOW = frozenset({"now", "jetzt", "maintenant", "ahora", "adesso", "ora", "agora", "nu", "teraz"})
_MEASURES = words("is are reads read measures measured actually really shows gives metered more at")
_ANEW = words("hang scrap hold nah actually sorry wait scratch correction oops rather typo nope meant")
_THEN = frozenset({"then", "now", "dann", "puis", "luego", "poi", "depois", "potem"})
_MOVES = frozenset({"drift", "creep", "climb", "jumpi", "jumps", "wande", "unset", "moves", "movin", "shift"})
_PRONOUNS = words("it it's its that's thats")
_MOVED = words("down up dropped fallen gone drifted climbed risen")
_CLOSE = 4
_SAYING = (Is.WANTED, Is.TOLD, Is.NAME)
_I_HAD = frozenset({"i had", "i got", "i have", "i make", "i read", "i get", "we had", "we got", "ich hatte"})


def read_of(items: Sequence[Item], told: Sequence[Told]) -> list[Told]:
    """Return those of the CCTs `told` that were read; what is wanted goes on to the end of its sentence."""
    out: list[Told] = []
    wanted, last = False, 0
    for each, after in _with_next(told):
        start, end = clause(items, each.at)
        before = items[start : each.at]
        behind = [item.kind for item in items[each.at + 1 : end] if item.kind in _SAYING]
        kinds = {item.kind for item in before} | set(behind[:1])
        said = {item.text for item in before}
        goes_on = wanted and not ends_between(items, last, each.at) and not said & w.READ
        wanted = Is.WANTED in kinds or (goes_on and not has_duv(items, each.at))
        last = each.at
        negated = bool(before) and (_is_denied(before) or (bool(out) and _is_former(before)))
        negated = negated or (after is not None and _is_what_it_is_called(items, each, after))
        if not (
            wanted or negated or Is.TOLD in kinds or _is_asked(items, each.at) or _is_set(items, before, each)
        ):
            out.append(each)
    out = [
        each
        for each, after in _with_next(out)
        if after is None or not (_drifted(items, each, after) or _put_right(items, each, after))
    ]
    return [
        each
        for each, after in _with_next(out)
        if after is None
        or not (
            _said_anew(items, each, after) or _was_before(items, each, after) or _moved_on(items, each, after)
        )
    ]


def _with_next(told: Sequence[Told]) -> Iterator[tuple[Told, Told | None]]:
    """Go through CCTs, each with the one behind it; None behind the last."""
    return itertools.zip_longest(told, told[1:])


def _is_denied(before: Sequence[Item]) -> bool:
    """Whether a CCT is what it was not: "not 3200", "3050 instead of 3200"."""
    last = before[-2:] if before[-1].text in ("of", "the", "than") else before[-1:]
    return any(item.kind is Is.NOT or item.text == "rather" for item in last)


def _is_what_it_is_called(items: Sequence[Item], each: Told, after: Told) -> bool:
    """Whether a CCT is what a lamp is called by, and another was read: "the 5600 panel measures 5380"."""
    if each.at + 1 >= after.at or not items[each.at + 1].lit:
        return False
    between = items[each.at + 2 : after.at]
    verb = any(item.text in _MEASURES for item in between)
    return verb and all(item.kind is Is.WORD for item in between)


def _put_right(items: Sequence[Item], each: Told, after: Told) -> bool:
    """Whether the CCT behind it takes its place, and its Duv: "5480 +.004. Actually make that 5460"."""
    if any(item.kind is Is.NAME for item in items[each.at + 1 : after.at]):
        return False
    between = [item.text for item in items[each.at + 1 : after.at]]
    if not (_ANEW & set(between) or "make that" in " ".join(between)):
        return False
    own = [item for item in items[each.at + 1 : after.at] if item.kind is Is.FIGURE and item.field in DUVS]
    if own and own[0].field is not None and not has_duv(items, after.at):
        after.cells[own[0].field] = own[0].text
    return True


def _drifted(items: Sequence[Item], each: Told, after: Told) -> bool:
    """Whether it is what a light that would not settle showed first: "drifting, gave me 4360 then 4410"."""
    between = items[each.at + 1 : after.at]
    on = any(item.text in _THEN for item in between) and len(between) <= _CLOSE
    moves = any(item.text in _MOVES or item.text[:5] in _MOVES for item in items)
    return on and moves and not any(item.kind in (Is.NAME, Is.END) for item in between)


def _was_before(items: Sequence[Item], each: Told, after: Told) -> bool:
    """Whether it is what a light was, and what it is now follows: "it was 2850 before, now I read 3400"."""
    before = items[clause(items, each.at)[0] : each.at]
    if not any(item.text in w.FORMERLY for item in before):
        return False
    between = items[each.at + 1 : after.at]
    named = any(item.kind is Is.NAME for item in between)
    return not named and any(item.text in _NOW for item in between)


def _moved_on(items: Sequence[Item], each: Told, after: Told) -> bool:
    """Whether one of the same light follows that holds now: "6230 at nine, it's down to 5870 now"."""
    between = items[each.at + 1 : after.at]
    said = [item.text for item in between]
    own = not any(item.kind is Is.NAME for item in between)
    return own and bool(_PRONOUNS & set(said)) and bool((_NOW | _MOVED) & set(said))


def _is_former(before: Sequence[Item]) -> bool:
    """Whether it is what a light was, beside what it is: "fill now 5510, was 5600"."""
    return before[-1].text in w.FORMERLY and not any(item.kind is Is.NAME for item in before)


def _is_set(items: Sequence[Item], before: Sequence[Item], each: Told) -> bool:
    """Whether it is what a camera is set to."""
    camera = any(item.kind is Is.NAME and item.words[0] in w.CAMERAS for item in before)
    return camera and not has_duv(items, each.at)


def _said_anew(items: Sequence[Item], each: Told, after: Told) -> bool:
    """Whether who writes has a figure of his own for what another says: no name stands before that one."""
    if has_duv(items, each.at):
        return False
    between = items[each.at + 1 : after.at]
    if any(item.kind in (Is.NAME, Is.END) for item in between):
        return False
    others = {item.text for item in items[slice(*clause(items, each.at))]} & w.OTHERS
    mine = any(f"{a.text} {b.text}" in _I_HAD for a, b in itertools.pairwise(between))
    return bool(others) or mine


def _is_asked(items: Sequence[Item], at: int) -> bool:
    """Whether a CCT stands in a question: "can the fill come up to 5600?"."""
    end = next((item for item in items[at:] if item.kind is Is.END), None)
    start = next((i + 1 for i in range(at - 1, -1, -1) if items[i].kind is Is.END), 0)
    asked = any(item.text in w.ASKING for item in items[start : min(start + 2, at)])
    return end is not None and end.text == "?" and asked
