"""Cuts that are down, or come down, are used again where they are large enough, before new ones are cut."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace

from ...model import Opening
from .lines import GelUse, HeadIndex, LooseCut, Removal, Sides


@dataclass
class _Waiting:
    """Which heads wait for a cut off which others, as it is found.

    `ranks` says where each stands on the walk, and `names` that of a source by its name. No head waits for
    itself through others: two that exchange their gels would else have to be climbed to three times, to save
    one cut.
    """

    ranks: Mapping[HeadIndex, int]
    names: Mapping[str, int]
    waits: dict[HeadIndex, set[HeadIndex]] = field(default_factory=dict)

    def before(self, cut: LooseCut, taker: HeadIndex) -> bool:
        """Whether the walk comes to where a cut hung, or hangs, before it comes to a head.

        One that is down already goes by where it hung too: so each keeps what it was told to take, task by
        task.
        """
        rank = self.names.get(cut.source, -1) if cut.off is None else self.ranks[cut.off]
        return rank < self.ranks[taker]

    def may(self, cut: LooseCut, taker: HeadIndex) -> bool:
        """Whether a head can wait for a cut."""
        return cut.off is None or not self._reaches(cut.off, taker)

    def add(self, cuts: Iterable[LooseCut], taker: HeadIndex) -> tuple[HeadIndex, ...]:
        """Let a head wait for cuts; return the heads that they come off, the first on the walk first."""
        off = {cut.off for cut in cuts if cut.off is not None}
        self.waits.setdefault(taker, set()).update(off)
        return tuple(sorted(off, key=lambda index: self.ranks[index]))

    def _reaches(self, giver: HeadIndex, taker: HeadIndex) -> bool:
        seen, ways = set[HeadIndex](), [giver]
        while ways:
            here = ways.pop()
            if here == taker:
                return True
            if here not in seen:
                seen.add(here)
                ways.extend(self.waits.get(here, ()))
        return False


def with_reused(
    taken: Mapping[str, Sequence[GelUse]],
    loose: Sequence[LooseCut],
    ranks: Mapping[HeadIndex, int],
    names: Mapping[str, int] | None = None,
) -> tuple[dict[str, list[GelUse]], tuple[LooseCut, ...]]:
    """Return the uses of each gel, marked with the sources whose cuts serve them, and the cuts left over.

    A cut serves an opening that is no larger either way, turned or not. A source is served whole or not at
    all. Where nobody gave a size, a cut is one sheet (`cutting.cut`): it serves another of which nobody gave
    one, and no other. `ranks` says when the walk comes to each head, `names` when it comes to where a cut
    that is down hung. A head first gets cuts that are down by then. What is left goes to heads for which the
    walk turns aside. Both go in the order of the walk.
    """
    waiting, left = _Waiting(ranks, names or {}), list(loose)
    served = {name: list(uses) for name, uses in taken.items()}
    for early in (True, False):
        for name, uses in sorted(served.items()):
            for i in sorted(range(len(uses)), key=lambda i: ranks[uses[i].index]):
                uses[i] = _served(name, uses[i], left, waiting, early=early)
    return served, tuple(left)


def _served(name: str, use: GelUse, left: list[LooseCut], waiting: _Waiting, *, early: bool) -> GelUse:
    if not use.new:
        return use
    wanted = largest_first(_pieces(use.openings, use.layers))
    there = [
        cut
        for cut in left
        if cut.gel == name and waiting.may(cut, use.index) and (not early or waiting.before(cut, use.index))
    ]
    found = []
    for piece in wanted:
        cut = smallest_that_covers(there, piece)
        if cut is None:
            return use
        there.remove(cut)
        found.append(cut)
    for cut in found:
        left.remove(cut)
    whose = tuple(dict.fromkeys(cut.source for cut in found))
    return replace(use, reused=whose, waits_for=waiting.add(found, use.index))


def largest_first(pieces: Iterable[Sides]) -> list[Sides]:
    """Return pieces, those of which nobody gave a size last."""
    return sorted(pieces, key=lambda sides: sides or (0.0, 0.0), reverse=True)


def smallest_that_covers(cuts: Iterable[LooseCut], piece: Sides) -> LooseCut | None:
    """Return the smallest of some cuts that covers a piece; None if none does."""
    if piece is None:
        return next((cut for cut in cuts if cut.sides is None), None)
    fits = [c for c in cuts if c.sides and c.sides[0] >= piece[0] and c.sides[1] >= piece[1]]
    return min(fits, key=lambda c: c.sides[0] * c.sides[1] if c.sides else 0.0, default=None)


def cuts_off(off: Iterable[tuple[Removal, Sequence[Opening]]]) -> Iterator[LooseCut]:
    """Yield each cut that comes off, of which `off` has the openings that it covered."""
    for removal, openings in off:
        for gel in removal.gels:
            for sides in _pieces(openings, 1):
                yield LooseCut(gel, sides, removal.source, (removal.plan, removal.head))


def cuts_down(source: str, openings: Sequence[Opening], gels: Sequence[str]) -> list[LooseCut]:
    """Return the cuts of gels that are down already, and hung over openings of a source."""
    return [LooseCut(gel, sides, source, None) for gel in gels for sides in _pieces(openings, 1)]


def _pieces(openings: Sequence[Opening], layers: int) -> list[Sides]:
    """Return the sides of every cut of some layers over openings; one without a size for each layer else."""
    if not openings:
        return [None] * layers
    return [
        (min(one.width, one.height), max(one.width, one.height))
        for one in openings
        for _ in range(one.count * layers)
    ]
