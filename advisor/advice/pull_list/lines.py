"""A pull list: what of each gel is to be taken off the truck, who takes it, and what the truck lacks."""

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple

from ...model import Opening, StackAdvice
from ...model.gels.formats import ComesAs, Format
from ...model.sets.source import pieces_over
from .cutting import GelAmount, Panels, panels

HeadIndex = tuple[int, int]
"""A head: the index of its plan, and its own in that."""
Sides = tuple[float, float] | None
"""The sides of a cut [m], the shorter first; None where nobody gave a size."""


@dataclass(frozen=True)
class GelUse:
    """What one source takes of a gel: `layers` over each of its openings (none if nobody gave a size).

    `plan` and `head` are its numbers. `hangs` is true if the gel hangs already. If it is part of a change,
    `swapped` are the gels that come off for it, empty if it only comes on top; else None. `reused` are the
    sources whose cuts, which are down or come down, serve it: then nothing new is cut. `waits_for` are those
    of them where they still hang.
    """

    plan: int
    head: int
    source: str
    layers: int
    openings: tuple[Opening, ...]
    hangs: bool
    swapped: tuple[str, ...] | None = None
    reused: tuple[str, ...] = ()
    waits_for: tuple[HeadIndex, ...] = ()

    @property
    def index(self) -> HeadIndex:
        """Its plan's index, and its own in that."""
        return self.plan, self.head

    @property
    def new(self) -> bool:
        """Whether it is cut anew."""
        return not self.hangs and not self.reused

    @property
    def free(self) -> bool:
        """Whether another stack could hang there: this gel does not hang, and replaces nothing that hangs."""
        return self.new and self.swapped is None

    @property
    def cuts(self) -> int:
        """How many pieces hang there, before any is divided into panels."""
        return self.layers * pieces_over(self.openings)


@dataclass(frozen=True)
class Alternative:
    """Another stack for a source that uses a gel of which there is too little. It stays within the stock.

    With it, `frees` fewer sheets (or rolls) of that gel are short.
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
    `stock` counts sheets; None is plenty. `short` is how many sheets are missing of what is needed, and
    `spare_short` how many more of the spare. Rolls cannot be compared with a count of sheets, unless it is 0:
    then both count rolls.
    """

    name: str
    uses: tuple[GelUse, ...]
    needed: GelAmount
    total: GelAmount
    left: GelAmount
    still: GelAmount
    stock: int | None
    short: int
    spare_short: int
    instead: tuple[Alternative, ...] = ()

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
        """How many pieces are to be cut anew."""
        return sum(use.cuts for use in self.uses if use.new)

    @property
    def reused(self) -> tuple[str, ...]:
        """The sources whose cuts, which come down, are used again."""
        return tuple(dict.fromkeys(source for use in self.uses for source in use.reused))

    @property
    def alternatives_sought(self) -> bool:
        """Whether other stacks that could hang there were searched for."""
        return any(use.free for use in self.uses)

    @property
    def seams(self) -> int:
        """How many taped lines there are, over all its cuts that do not hang yet."""
        if self.size.form is ComesAs.PIECE:
            return 0
        return seams_of([use for use in self.uses if use.new], self.size)

    @property
    def hanging(self) -> int:
        """How many of the sheets (or rolls) that it takes hang already."""
        return self.needed.units - self.left.units

    @property
    def spare(self) -> GelAmount:
        """What of `still` is spare."""
        return GelAmount(self.size, self.still.units - self.left.units, self.still.length - self.left.length)

    def panels(self, opening: Opening) -> Panels:
        """Return how an opening is divided."""
        return panels(opening, self.size)


@dataclass(frozen=True)
class Removal:
    """What comes off a source in a change that is due; `plan` and `head` are its indices."""

    plan: int
    head: int
    source: str
    gels: tuple[str, ...]


@dataclass(frozen=True)
class LooseCut:
    """A cut that is down, or that comes `off` a head; `source` is where it hung."""

    gel: str
    sides: Sides
    source: str
    off: HeadIndex | None


class Whose(NamedTuple):
    """A source of which there is something to say; `plan` and `head` are its indices."""

    plan: int
    head: int
    source: str


@dataclass(frozen=True)
class PullList:
    """The gels to pull, in the table's order, and the sources that are not on it.

    Sources `without` have no plan. Those in `out` are out of reach of gel, and nobody decided to hang any all
    the same. Those in `outdated` are on the list with a plan for another white or another reading. `off` is
    what comes off, and `back` which cuts serve nothing once all is done, those that are down already too.
    """

    gels: tuple[GelPull, ...]
    without: tuple[Whose, ...]
    out: tuple[Whose, ...] = ()
    outdated: tuple[Whose, ...] = ()
    off: tuple[Removal, ...] = ()
    back: tuple[LooseCut, ...] = ()

    @cached_property
    def still(self) -> tuple[GelPull, ...]:
        """The lines of which something is left to be pulled."""
        return tuple(gel for gel in self.gels if gel.to_cut)

    @property
    def kinds(self) -> int:
        """How many gels are left to be pulled; one from sheets and from a roll is one."""
        return len({gel.name for gel in self.still})

    @property
    def short(self) -> tuple[GelPull, ...]:
        """The gels that the truck has too little of."""
        return tuple(gel for gel in self.gels if gel.short)

    @property
    def sheets(self) -> int:
        """Sheets that are left to be pulled, of all sizes, with spare."""
        return sum(gel.still.units for gel in self.still if gel.size.form is ComesAs.SHEET)

    @property
    def pieces(self) -> int:
        """Scrims that are left to be taken, of all kinds."""
        return sum(gel.still.units for gel in self.still if gel.size.form is ComesAs.PIECE)

    @property
    def hanging(self) -> tuple[GelPull, ...]:
        """The gels of which all hangs already."""
        return tuple(gel for gel in self.gels if not gel.to_cut and not gel.reused)

    @property
    def again(self) -> tuple[GelPull, ...]:
        """The gels for which cuts that come down are all that is needed."""
        return tuple(gel for gel in self.gels if not gel.to_cut and gel.reused)

    @property
    def rolls(self) -> int:
        """Rolls that are left to be pulled, of all widths, with spare."""
        return sum(gel.still.units for gel in self.still if gel.size.form is ComesAs.ROLL)

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
        cut = (gel for gel in self.still if gel.size.form is not ComesAs.PIECE)
        uses = (use for gel in cut for use in gel.uses if use.new)
        return sum(o.width * o.height * o.count * use.layers for use in uses for o in use.openings)

    @property
    def unsized(self) -> tuple[GelUse, ...]:
        """One use of each source on the list that gel is cut for and whose openings nobody gave."""
        cut = [gel for gel in self.gels if gel.size.form is not ComesAs.PIECE]
        found = {(u.plan, u.head): u for gel in cut for u in gel.uses if not u.openings}
        return tuple(found[key] for key in sorted(found))


def seams_of(uses: Iterable[GelUse], size: Format) -> int:
    """Return how many taped lines there are over some uses, cut from a format."""
    return sum(panels(o, size).seams * o.count * use.layers for use in uses for o in use.openings)
