"""Making the pull list: gel by gel, for one set or several, from the formats that serve best."""

from collections import Counter
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import combinations

import numpy as np

from ...model import Gel, Refused, StackAdvice
from ...model.basis.base import name_key
from ...model.gels.formats import WHOLE, ComesAs, Format
from ..answer.advise import rank_all
from ..plan.head import PlannedSource
from ..plan.plan import Plan
from ..ranking.first_line import first_line
from ..stacks.gel_arrays import PLENTY
from .cutting import GelAmount, cut
from .lines import Alternative, GelPull, GelUse, LooseCut, PullList, Whose, seams_of
from .spare import with_spare
from .uses import layers_of, taken_by


def pull_list(
    plans: Sequence[Plan],
    table: Sequence[Gel],
    formats: Sequence[Format],
    *,
    spare_percent: float = 0.0,
    cut_from: Format | None = None,
    at_hand: Sequence[LooseCut] = (),
    walks: Sequence[Sequence[int]] = (),
) -> PullList:
    """Add up the gels of every plan's heads.

    `cut_from` is the format that everything is cut from. If it is None, formats are chosen from `formats` (at
    least one): first those with the fewest seams for each gel; of these, as few formats to fetch as possible
    over all gels; then the least gel pulled. Only openings with a size decide. A cut without a size counts as
    a sheet, and gets a line of its own if the others come from a roll. A gel with a counted stock is cut from
    sheets if there are any: its stock counts sheets of the size that it is cut from. Cuts `at_hand`, and
    those that come down, serve before new ones are cut, in the order of the `walks` (`uses.taken_by`).
    `spare_percent` is of the whole list (`with_spare`).
    """
    found = taken_by(plans, at_hand, walks)
    taken = found.uses
    order = {g.name: i for i, g in enumerate(table)}
    names = sorted(taken, key=lambda name: (order.get(name, len(order)), name))
    stocks = {name_key(g.name): g for g in table}
    sizes = {} if cut_from else _fewest(taken, _Case(plans, stocks, formats, spare_percent, None, taken, {}))
    case = _Case(plans, stocks, formats, spare_percent, cut_from, taken, sizes)
    counted = [pull for name in names for pull in case.lines(name, taken[name])]
    return PullList(
        tuple(case.with_instead(pull) for pull in with_spare(counted, spare_percent)),
        _those(plans, lambda head: head.best is None),
        _those(plans, lambda head: head.out),
        _those(plans, lambda head: head.outdated),
        found.off,
        found.back,
    )


def _those(plans: Sequence[Plan], which: Callable[[PlannedSource], bool]) -> tuple[Whose, ...]:
    return tuple(
        Whose(p, h, head.source.name)
        for p, plan in enumerate(plans)
        for h, head in enumerate(plan.heads)
        if which(head)
    )


@dataclass(frozen=True)
class _Case:
    """What the list is made for: who takes what (`taken`), and the format of each gel that was chosen."""

    plans: Sequence[Plan]
    table: Mapping[str, Gel]
    formats: Sequence[Format]
    spare: float
    cut_from: Format | None
    taken: Mapping[str, Sequence[GelUse]]
    sizes: Mapping[str, Format]

    def lines(self, name: str, uses: Sequence[GelUse]) -> list[GelPull]:
        """Count one gel over all who take it, in one line, or in two.

        If cuts with a size come from a roll, those without one are sheets, and get a line of their own.
        """
        if self._piece(name):
            return [self._pull(name, uses, WHOLE)]
        size = self.cut_from or self.sizes.get(name) or self.size_alone(name, uses)
        sized, unsized = ([u for u in uses if bool(u.openings) is given] for given in (True, False))
        sheets = self._sheets()
        if self.cut_from or size.form is ComesAs.SHEET or not (sized and unsized and sheets):
            return [self._pull(name, uses, size)]
        return [self._pull(name, sized, size), self._pull(name, unsized, sheets[0])]

    def _pull(self, name: str, uses: Sequence[GelUse], size: Format) -> GelPull:
        stock = self._stock(name)
        needed = _cut(uses, size)
        left = _cut([u for u in uses if u.new], size)
        # Gel that hangs is not missing: no more can be short than is left to be cut.
        comparable = stock == 0 or size.form is not ComesAs.ROLL
        enough = stock if stock is not None and comparable else needed.units
        short = min(max(needed.units - enough, 0), left.units)
        return GelPull(name, tuple(uses), needed, needed, left, left, stock, short, 0)

    def with_instead(self, pull: GelPull) -> GelPull:
        """Add, where a gel is short, what each source could hang that stays within the stock."""
        if not pull.short:
            return pull
        found = (self._instead(use, pull) for use in pull.uses if use.free)
        others = tuple(instead for instead in found if instead)
        return replace(pull, instead=others)

    def _instead(self, use: GelUse, pull: GelPull) -> Alternative | None:
        head = self.plans[use.plan].heads[use.head]
        assert head.best is not None, "a source on the list has a stack"
        fits = self._fitting(use)
        for stack in self._within_stock(use, fits) or (head.advice.stacks if head.advice else ()):
            layers = layers_of(stack)
            if layers[pull.name] < use.layers and all(fits(name, n) for name, n in layers.items()):
                after = self._short(pull.name, _replaced(pull.uses, use, layers[pull.name]))
                return Alternative(use.plan, use.head, use.source, stack, pull.short - after)
        return None

    def _within_stock(self, use: GelUse, fits: Callable[[str, int], bool]) -> list[StackAdvice]:
        """Return the stacks of a source ranked anew, of as many layers of each gel as the stock has for it.

        The list that it has may lack the best of these: another stack that takes what is short beat it. There
        are none where it cannot be searched.
        """
        plan = self.plans[use.plan]
        bare, gels = plan.prepared.get(use.head), plan.gel_arrays
        if bare is None or gels is None:
            return []
        most, kept = plan.limits.for_source(bare.source).max_layers, Counter(bare.source.keep)
        stock = [
            PLENTY
            if self._stock(name) is None
            else max(next((n for n in range(most, 0, -1) if fits(name, n)), 0), kept[name])
            for name in gels.names
        ]
        try:
            left = replace(gels, stock=np.array(stock, dtype=np.intp))
            again = rank_all({0: bare}, plan.limits, left)[0]
        except Refused:
            return []
        return [first_line(again.stacks, again.least_stops), *again.stacks]

    def _fitting(self, use: GelUse) -> Callable[[str, int], bool]:
        """Return a test of whether the stock has so many layers of a gel for a source, beside the others'."""
        known: dict[tuple[str, int], bool] = {}

        def fits(name: str, layers: int) -> bool:
            if (name, layers) not in known:
                known[name, layers] = not self._short(name, _replaced(self.taken.get(name, ()), use, layers))
            return known[name, layers]

        return fits

    def _short(self, name: str, uses: Sequence[GelUse]) -> int:
        return sum(line.short for line in self.lines(name, uses))

    def _piece(self, name: str) -> bool:
        gel = self.table.get(name_key(name))
        return gel is not None and gel.scrim

    def _stock(self, name: str) -> int | None:
        gel = self.table.get(name_key(name))
        return gel.stock if gel else None

    def _sheets(self) -> list[Format]:
        """Return the sheets, the smallest first."""
        found = [f for f in self.formats if f.form is ComesAs.SHEET]
        return sorted(found, key=lambda f: f.width * f.length)

    def choices(self, name: str, uses: Sequence[GelUse]) -> list[Format]:
        """Return the formats that leave a gel the fewest seams, of those that it may be cut from."""
        if self._piece(name):
            return []
        sheets = [f for f in self.formats if f.form is ComesAs.SHEET]
        may = sheets if self._stock(name) is not None and sheets else list(self.formats)
        fewest = min(seams_of(uses, size) for size in may)
        return [size for size in may if seams_of(uses, size) == fewest]

    def size_alone(self, name: str, uses: Sequence[GelUse]) -> Format:
        """Return the format for one gel, whatever the others are cut from."""
        return min(self.choices(name, uses), key=lambda size: self.waste(uses, size))

    def waste(self, uses: Sequence[GelUse], size: Format) -> float:
        """Return how much is pulled if a gel is cut from a format [m², to the square centimetre].

        Cuts without a size count only if no cut has one.
        """
        sized = [use for use in uses if use.openings] or uses
        return round(_cut(sized, size).spared(self.spare).area, 4)


def _fewest(taken: Mapping[str, Sequence[GelUse]], case: _Case) -> dict[str, Format]:
    """Choose the format of each gel that has cuts with a size: as few formats as can be, then least waste."""
    sized = {n: case.choices(n, uses) for n, uses in taken.items() if any(use.openings for use in uses)}
    may = {name: formats for name, formats in sized.items() if formats}
    wastes = {(n, f.name): case.waste(taken[n], f) for n, formats in may.items() for f in formats}

    def chosen(fetched: Sequence[Format]) -> dict[str, Format] | None:
        found = {}
        for name, formats in may.items():
            here = [f for f in formats if f in fetched]
            if not here:
                return None
            found[name] = min(here, key=lambda f: wastes[name, f.name])
        return found

    for count in range(1, min(len(case.formats), _MOST_FETCHED) + 1):
        ways = [way for some in combinations(case.formats, count) if (way := chosen(some)) is not None]
        if ways:
            return min(ways, key=lambda way: sum(wastes[name, f.name] for name, f in way.items()))
    return {name: case.size_alone(name, taken[name]) for name in may}


_MOST_FETCHED = 3
"""The most formats tried together to serve all gels. If that takes more, each gel gets its own best."""


def _replaced(uses: Iterable[GelUse], one: GelUse, layers: int) -> list[GelUse]:
    """Return the uses of a gel as they are if one source takes `layers` of it."""
    others = [u for u in uses if (u.plan, u.head) != (one.plan, one.head)]
    own = GelUse(one.plan, one.head, one.source, layers, one.openings, one.hangs)
    return [*others, own] if layers else others


def _cut(uses: Sequence[GelUse], size: Format) -> GelAmount:
    sized = [(opening, use.layers) for use in uses for opening in use.openings]
    return cut(sized, size, whole=sum(use.layers for use in uses if not use.openings))
