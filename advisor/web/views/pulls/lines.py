"""A gel of the pull list: how much of it, who takes it, and what the truck lacks."""

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass

from ....advice.pull_list.lines import Alternative, GelPull, GelUse, Removal, Whose
from ....advice.pull_list.pulled import key_of
from ....model import Opening
from ....model.gels.formats import ComesAs
from ....model.sets.phrases import counted, listed
from ....store import StoredSet, StoredSource
from ...wording.gels import cuts_from, stock_of
from ...wording.stacks import hang
from ...wording.values import capitalize_first, gel, gel_amount
from ..heads import Quality, gels_said, stack_quality
from .sides import sides


@dataclass(frozen=True)
class Takers:
    """The sets of a list, to name those that take of it."""

    sets: Sequence[StoredSet]

    def source(self, one: GelUse | Removal | Whose) -> StoredSource:
        """Return the source of a use, of what comes off, or of what there is to say."""
        return self.sets[one.plan].sources[one.head]

    def set_name(self, one: GelUse | Removal | Whose) -> str:
        """Return the name of its set where there are several; else nothing."""
        return self.sets[one.plan].name if len(self.sets) > 1 else ""

    def names(self, those: Iterable[GelUse | Removal | Whose]) -> str:
        """List sources by number and name; of several sets, each with its own."""
        return ", ".join(self._name(one) for one in those)

    def _name(self, one: GelUse | Removal | Whose) -> str:
        own = self.set_name(one)
        return f"{self.source(one).number} {one.source}{f' ({own})' if own else ''}"


@dataclass(frozen=True)
class CutFor:
    """Who takes of a gel: `state` says what hangs there, `cuts` a line for each kind of opening."""

    source_id: int
    name: str
    set_name: str
    state: str
    cuts: tuple[str, ...]


@dataclass(frozen=True)
class InsteadOf:
    """Another stack for a source, within the stock: its name and what to hang, how good, what stays short."""

    words: str
    good: Quality
    still_short: str


@dataclass(frozen=True)
class PullLine:
    """A gel of the list; `to_pull` where not all of it hangs.

    `key` is what is kept when it is `pulled`; `brief` and `takers` are its line of the checklist.
    `short` is what the truck lacks, and `stock` follows it, or says alone what the truck has too few of;
    `in_stock` is its stock where that is enough. `no_other` says that nothing else could hang instead.
    """

    gel: str
    key: str
    pulled: bool
    brief: str
    takers: str
    heading: str
    to_pull: bool
    cut_from: str
    short: str
    stock: str
    in_stock: str
    uses: tuple[CutFor, ...]
    instead: tuple[InsteadOf, ...]
    no_other: bool


def pull_line(line: GelPull, takers: Takers, pulled: Collection[str] = ()) -> PullLine:
    """Return a gel of the list as its page prints it; `pulled` are the keys of those that are."""
    return PullLine(
        gel=gel(line.name),
        key=key_of(line),
        pulled=key_of(line) in pulled,
        brief=_amount(line),
        takers=takers.names(use for use in line.uses if not (use.hangs and _to_pull(line))),
        heading=f"{capitalize_first(gel(line.name))}: {_amount(line)}",
        to_pull=_to_pull(line),
        cut_from=_cut_from(line),
        short=f"{capitalize_first(_units(line.short, line))} short" if line.short else "",
        stock=_stock(line),
        in_stock="" if _stock(line) or line.stock is None else stock_of(line),
        uses=tuple(_cut_for(use, line, takers) for use in line.uses),
        instead=tuple(_instead(other, line) for other in line.instead),
        no_other=bool(line.short and line.alternatives_sought and not line.instead),
    )


def _to_pull(line: GelPull) -> bool:
    """Whether something of a gel is to be pulled; else the line says what is to be struck at wrap."""
    return bool(line.to_cut or line.reused)


def _amount(line: GelPull) -> str:
    again = sum(use.cuts for use in line.uses if use.reused)
    if line.to_cut:
        more = f", {counted(again, 'cut')} used again" if again else ""
        return f"{gel_amount(line.still)}{more}"
    if line.reused:
        return f"used again from {listed(line.reused)}"
    if line.size.form is ComesAs.ROLL:  # what hangs is no roll any more
        up = sum(use.cuts for use in line.uses if use.hangs)
        return f"{counted(up, 'cut')} hang{'s' if up == 1 else ''} already"
    return f"{_units(line.hanging, line)} hang{'s' if line.hanging == 1 else ''} already"


def _units(number: int, line: GelPull) -> str:
    return counted(number, line.size.form.value)


def _cut_from(line: GelPull) -> str:
    if line.size.form is ComesAs.PIECE:
        return cuts_from(line) if line.to_cut else ""
    parts = [cuts_from(line)] if line.to_cut else []
    parts.append(f"{line.size.name}, {sides(line.size.width, line.size.length)}.")
    hanging = sum(use.cuts for use in line.uses if use.hangs)
    if hanging and line.to_cut:
        parts.append(f"{counted(hanging, 'more cut')} hang{'s' if hanging == 1 else ''} already.")
    parts += [f"{counted(line.seams, 'seam')} to tape."] if line.seams else []
    return " ".join(parts)


def _stock(line: GelPull) -> str:
    """Say what the truck has where that is too little, or cannot be told; empty where it is enough."""
    has = f": the truck has {line.stock}."
    if line.short:
        return f"{has} The spare comes on top." if line.spare_short else has
    if line.spare_short:
        none = line.spare.units == line.spare_short
        few = f"{capitalize_first(_units(line.spare_short, line))} too few for the spare"
        return f"{'No spare left' if none else few}{has}"
    if line.stock and line.size.form is ComesAs.ROLL:
        return f"The truck has {counted(line.stock, 'sheet')}. Cut from sheets to see if that is enough."
    return ""


def _cut_for(use: GelUse, line: GelPull, takers: Takers) -> CutFor:
    stored = takers.source(use)
    piece = line.size.form is ComesAs.PIECE
    cuts = [counted(use.cuts, "piece")] if piece else [_cut(opening, use, line) for opening in use.openings]
    return CutFor(
        source_id=stored.id,
        name=f"{stored.number} {use.source}",
        set_name=takers.set_name(use),
        state=_state(use),
        cuts=tuple(cuts or [f"{counted(use.cuts, 'cut')}, size not given"]),
    )


def _state(use: GelUse) -> str:
    if use.hangs:
        return "hangs already"
    if use.reused:
        return f"used again from {listed(use.reused)}"
    if use.swapped is None:
        return ""
    return f"in place of {gels_said(use.swapped)}" if use.swapped else "on top of what hangs"


def _cut(opening: Opening, use: GelUse, line: GelPull) -> str:
    divided = line.panels(opening)
    parts = [f"{opening.count} × {sides(opening.width, opening.height)}"]
    parts += [f"{use.layers} layers"] if use.layers > 1 else []
    parts += [f"{divided.count} panels each, {counted(divided.seams, 'seam')}"] if divided.count > 1 else []
    return ", ".join(parts)


def _instead(other: Alternative, line: GelPull) -> InsteadOf:
    left = line.short - other.frees
    return InsteadOf(
        f"{other.source}: {hang(other.stack)}",
        stack_quality(other.stack),
        f" · still {left} short" if left > 0 else "",
    )
