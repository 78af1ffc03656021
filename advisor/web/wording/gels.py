"""How a gel is known, whether it is what its label says, and what is pulled and cut of it, in a sentence."""

from collections.abc import Sequence

from ...advice.learned.off_label import OffLabel
from ...advice.pull_list.lines import GelPull
from ...model import Gel, Opening
from ...model.basis.units import INCH
from ...model.gels.formats import ComesAs
from ...model.sets.phrases import counted, grouped, listed, percent
from ...model.sets.source import pieces_over
from .values import capitalize_first, gel, roll, rolled


def sheets(names: Sequence[str]) -> str:
    """Name gels by what is written on their sheets: “¼ CTO and ⅛ plus green”."""
    return listed(grouped([gel(name) for name in names]))


def over_openings(names: Sequence[str], openings: Sequence[Opening]) -> str:
    """Say how many pieces some layers are over several openings: “2 openings: 4 pieces”; else nothing."""
    many = pieces_over(openings)
    return f"{many} openings: {counted(many * len(names), 'piece')}" if names and many > 1 else ""


def lost_said(name: str, table: Sequence[Gel]) -> str:
    """Say that a sheet of a gel is lost, and what the truck's count is; empty for no gel of the table."""
    row = next((one for one in table if one.name == name), None)
    if row is None:
        return ""
    said = f"{capitalize_first(gel(name))} is lost. Hang another, then meter it."
    if row.stock is None:
        return said
    return f"{said} The truck’s count is {counted(row.stock, 'sheet')} now, those up too."


def off_label(off: OffLabel) -> str:
    """Say that gels are not what their labels say: “¼ CTO reads 4 to 12 % weak on 3 sources.”"""
    way = "strong" if off.percent > 0 else "weak"
    much, on = abs(off.percent), counted(off.sources, "source")
    about = f"about {percent(round(much))}"
    if off.doubt is not None:
        about = f"{max(1, round(much - off.doubt))} to {percent(round(much + off.doubt))}"
    gels = capitalize_first(listed([gel(name) for name in off.names]))
    return f"{gels} {'reads' if len(off.names) == 1 else 'read'} {about} {way} on {on}."


def known_said(gel: Gel) -> str:
    """Say how it is known what a gel does, and how far it may be off: “from the swatch book, within 5 %”."""
    parts = [gel.knowledge.words] if gel.knowledge else []
    if gel.off_percent is not None and (gel.dims or not gel.neutral):
        parts.append(f"within {percent(gel.off_percent)}")
    return ", ".join(parts)


def cuts_from(gel: GelPull) -> str:
    """Say what the cuts of a gel take alone, and what is spare of what is pulled for them."""
    if gel.size.form is ComesAs.PIECE:
        return "Take it whole."
    cuts, spare = counted(gel.to_cut, "cut"), gel.spare
    takes = "takes" if gel.to_cut == 1 else "take"
    if gel.size.form is ComesAs.SHEET:
        them = "of it" if gel.still.units == 1 else "of them"
        more = f", {spare.units} {them} spare" if spare.units else ""
        return f"{cuts} {takes} {counted(gel.left.units, 'sheet')}, {gel.still.units} pulled{more}."
    alone = f"{cuts} {takes} {roll(gel.left.length)} alone"
    beside = rolled(gel.still.length) - rolled(gel.left.length)
    if beside < INCH / 2 and not spare.units:
        return f"{alone}."
    if spare.units:
        return f"{alone}, {counted(gel.left.units, 'roll')}. The rest is spare."
    return f"{alone}, {roll(beside)} is spare."


def stock_of(gel: GelPull) -> str:
    """Say how many sheets of a gel the truck's count is, and what the cuts that hang took of them."""
    piece = gel.size.form is ComesAs.PIECE
    has, cuts = counted(gel.stock or 0, "piece" if piece else "sheet"), gel.cuts - gel.to_cut
    if piece or not cuts:
        return f"The truck has {has}."
    hang = f"{counted(cuts, 'cut')} {'hangs' if cuts == 1 else 'hang'}"
    if gel.hanging > (gel.stock or 0):
        reckoned = counted(gel.hanging, "sheet")
        return f"{hang}, counted as {reckoned}. The truck’s count is {has}: count again."
    return f"{hang}, from {gel.hanging} of the truck’s {has}."
