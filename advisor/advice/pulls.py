"""The pull list: gel by gel, what to take off the truck for one set or several, and what it lacks."""

from collections import Counter
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

from ..model import Gel, Opening, StackAdvice, Stage
from ..model.base import name_key
from ..model.formats import Form, Format
from .cutting import Amount, Panels, cut, panels
from .plan import Head, Plan


@dataclass(frozen=True)
class Use:
    """What one source takes of a gel: `layers` over each opening, which are empty where nobody gave a size.

    `plan` and `head` are its places. `hung` says that it hangs already.
    """

    plan: int
    head: int
    source: str
    layers: int
    openings: tuple[Opening, ...]
    hung: bool

    @property
    def cuts(self) -> int:
        """How many pieces hang there, before any is divided into panels."""
        return self.layers * (sum(o.count for o in self.openings) or 1)


@dataclass(frozen=True)
class Instead:
    """Another stack for a source that takes of a gel that is short: it stays within the stock.

    `frees` says how many sheets (or rolls) of that gel fewer are short with it.
    """

    plan: int
    head: int
    source: str
    stack: StackAdvice
    frees: int


@dataclass(frozen=True)
class GelPull:
    """One gel of the list: who takes it, cut from what, how much with and without spare, what is short.

    `needed` and `total` (with spare) count what hangs already; `left` and `still` (with spare) do not.
    `stock` counts sheets; None is plenty. So many sheets are `short` of what is needed, and `spare_short`
    more of the spare. A roll cannot be held against a count of sheets, unless that is none at all: then so
    many rolls are short.
    """

    name: str
    uses: tuple[Use, ...]
    needed: Amount
    total: Amount
    left: Amount
    still: Amount
    stock: int | None
    short: int
    spare_short: int
    instead: tuple[Instead, ...] = ()

    @property
    def size(self) -> Format:
        """What it is cut from."""
        return self.needed.format

    @property
    def cuts(self) -> int:
        """How many pieces of it hang once all is done."""
        return sum(use.cuts for use in self.uses)

    @property
    def to_cut(self) -> int:
        """How many pieces do not hang yet."""
        return sum(use.cuts for use in self.uses if not use.hung)

    @property
    def seams(self) -> int:
        """How many taped lines there are, over all its cuts."""
        return _seams(self.uses, self.size)

    @property
    def spare(self) -> Amount:
        """What of `still` is spare."""
        return Amount(self.size, self.still.units - self.left.units, self.still.length - self.left.length)

    def panels(self, opening: Opening) -> Panels:
        """Return how an opening is divided."""
        return panels(opening, self.size)


@dataclass(frozen=True)
class PullList:
    """The gels to pull, in the table's order, and the sources that are not on it since they have no plan."""

    gels: tuple[GelPull, ...]
    without: tuple[str, ...]

    @cached_property
    def still(self) -> tuple[GelPull, ...]:
        """The gels of which something is left to be pulled."""
        return tuple(gel for gel in self.gels if gel.to_cut)

    @property
    def short(self) -> tuple[GelPull, ...]:
        """The gels that the truck has too little of."""
        return tuple(gel for gel in self.gels if gel.short)

    @property
    def sheets(self) -> int:
        """Sheets that are left to be pulled, of all sizes, with spare."""
        return sum(gel.still.units for gel in self.still if gel.size.form is Form.SHEET)

    @property
    def roll(self) -> float:
        """Roll that is left to be pulled, of all widths, with spare. [m]"""
        return sum(gel.still.length for gel in self.still)

    @property
    def area(self) -> float:
        """Gel that is left to be pulled, with spare. [m²]"""
        return sum(gel.still.area for gel in self.still)

    @property
    def covered(self) -> float:
        """What it has to cover, layer by layer, as far as openings were given. [m²]"""
        uses = (use for gel in self.still for use in gel.uses if not use.hung)
        return sum(o.width * o.height * o.count * use.layers for use in uses for o in use.openings)

    @property
    def unsized(self) -> tuple[Use, ...]:
        """One use of each source on the list whose openings nobody gave."""
        found = {(u.plan, u.head): u for gel in self.gels for u in gel.uses if not u.openings}
        return tuple(found[key] for key in sorted(found))


def pull_list(
    plans: Sequence[Plan],
    table: Sequence[Gel],
    formats: Sequence[Format],
    *,
    spare_percent: float = 0.0,
    cut_from: Format | None = None,
) -> PullList:
    """Add up the gels of every plan's heads.

    `cut_from` is what all is cut from; with None each gel is cut from that of `formats` (at least one) of
    which the least gel is pulled, a counted one from sheets where there are any, as its stock counts them:
    sheets of the size that it is cut from.
    """
    case = _Case(plans, {name_key(g.name): g for g in table}, formats, spare_percent, cut_from)
    taken: dict[str, list[Use]] = {}
    for p, plan in enumerate(plans):
        for h, head in enumerate(plan.heads):
            for name, layers in _layers(head.best).items():
                taken.setdefault(name, []).append(_use(p, h, head, layers))
    order = {g.name: i for i, g in enumerate(table)}
    names = sorted(taken, key=lambda name: (order.get(name, len(order)), name))
    pulls = {name: case.pull(name, taken[name]) for name in names}
    return PullList(
        tuple(case.with_instead(pull, pulls) for pull in pulls.values()),
        tuple(h.source.name for plan in plans for h in plan.heads if h.best is None),
    )


def _layers(stack: StackAdvice | None) -> Counter[str]:
    return Counter(stack.gels if stack else ())


def _use(plan: int, place: int, head: Head, layers: int) -> Use:
    work = head.source.work
    hung = work is not None and work.stage in (Stage.HUNG, Stage.CONFIRMED)
    return Use(plan, place, head.source.name, layers, tuple(head.source.openings), hung)


@dataclass(frozen=True)
class _Case:
    """What the list is made for."""

    plans: Sequence[Plan]
    table: Mapping[str, Gel]
    formats: Sequence[Format]
    spare: float
    cut_from: Format | None

    def pull(self, name: str, uses: Sequence[Use]) -> GelPull:
        """Count one gel over all who take it."""
        stock = self._stock(name)
        needed = self._least(uses, stock)
        total = needed.spared(self.spare)
        left = _cut([u for u in uses if not u.hung], needed.format)
        still = left.spared(self.spare)
        # What hangs did not lack: no more is short than is left to be cut.
        comparable = stock == 0 or needed.format.form is Form.SHEET
        enough = stock if stock is not None and comparable else total.units
        short = min(max(needed.units - enough, 0), left.units)
        spare_short = min(max(total.units - enough, 0), still.units) - short
        return GelPull(name, tuple(uses), needed, total, left, still, stock, short, spare_short)

    def with_instead(self, pull: GelPull, pulls: Mapping[str, GelPull]) -> GelPull:
        """Add, where a gel is short, what each source could hang that stays within the stock."""
        if not pull.short:
            return pull
        found = (self._instead(use, pull, pulls) for use in pull.uses if not use.hung)
        others = tuple(instead for instead in found if instead)
        return replace(pull, instead=others)

    def _instead(self, use: Use, pull: GelPull, pulls: Mapping[str, GelPull]) -> Instead | None:
        head = self.plans[use.plan].heads[use.head]
        assert head.best is not None, "a source on the list has a stack"
        fits = self._fitting(use, pulls)
        for stack in head.advice.stacks if head.advice else ():
            layers = _layers(stack)
            if layers[pull.name] < use.layers and all(fits(name, n) for name, n in layers.items()):
                after = self.pull(pull.name, _replaced(pull.uses, use, layers[pull.name]))
                return Instead(use.plan, use.head, use.source, stack, pull.short - after.short)
        return None

    def _fitting(self, use: Use, pulls: Mapping[str, GelPull]) -> Callable[[str, int], bool]:
        """Return a test of whether the stock has so many layers of a gel for a source, beside the others'."""
        known: dict[tuple[str, int], bool] = {}

        def fits(name: str, layers: int) -> bool:
            if (name, layers) not in known:
                others = pulls[name].uses if name in pulls else ()
                known[name, layers] = not self.pull(name, _replaced(others, use, layers)).short
            return known[name, layers]

        return fits

    def _stock(self, name: str) -> int | None:
        gel = self.table.get(name_key(name))
        return gel.stock if gel else None

    def _least(self, uses: Sequence[Use], stock: int | None) -> Amount:
        if self.cut_from:
            return _cut(uses, self.cut_from)
        sheets = [f for f in self.formats if f.form is Form.SHEET]
        choices = sheets if stock is not None and sheets else self.formats
        return min((_cut(uses, f) for f in choices), key=lambda amount: self._waste(amount, uses))

    def _waste(self, amount: Amount, uses: Sequence[Use]) -> tuple[float, int]:
        """Return what is pulled [m²], to the square centimetre, and the seams, which decide among equals."""
        return round(amount.spared(self.spare).area, 4), _seams(uses, amount.format)


def _seams(uses: Iterable[Use], size: Format) -> int:
    return sum(panels(o, size).seams * o.count * use.layers for use in uses for o in use.openings)


def _replaced(uses: Iterable[Use], one: Use, layers: int) -> list[Use]:
    """Return the uses of a gel with those of one source's made `layers`."""
    others = [u for u in uses if (u.plan, u.head) != (one.plan, one.head)]
    own = Use(one.plan, one.head, one.source, layers, one.openings, one.hung)
    return [*others, own] if layers else others


def _cut(uses: Sequence[Use], size: Format) -> Amount:
    sized = [(opening, use.layers) for use in uses for opening in use.openings]
    return cut(sized, size, whole=sum(use.layers for use in uses if not use.openings))
