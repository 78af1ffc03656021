"""What a row of a gel table calls its gel: family and fraction, from one column or from two."""

import re
from collections.abc import Sequence

from ...model.basis.base import name_key
from ..gel_layouts.columns import TakenColumn
from ..gel_layouts.figures import figure
from ..text.spreadsheet_cells import plain_fraction, unescape
from ..vocabulary.gel_headings import LIGHT, GelColumn
from ..vocabulary.gel_names import (
    ND,
    GelName,
    family_of,
    family_within,
    fractions_of,
    known_family,
    understand_name,
)
from ..vocabulary.gel_strengths import STOPS_PER_DENSITY
from .draft_row import RowMaking

_ASIDE = re.compile(
    r"(.+?)\s*(?:[(\[]([^()\[\]]*[^\W\d_]{3}[^()\[\]]*)[)\]]|(?:,|\s[-–—])\s+(.*[^\W\d_]{2}.*))"
)
_LONGEST = 80


class RowNaming:
    """Names the gels of one table, row after row: a family may be written once, over those beneath it."""

    def __init__(self, columns: Sequence[TakenColumn], mark: str | None) -> None:
        self._columns = columns
        self._mark = mark
        self._family = ""

    @property
    def in_one(self) -> bool:
        """Whether a column holds the whole name."""
        return self._first(GelColumn.NAME) is not None

    def take(self, making: RowMaking) -> None:
        """Take family and fraction of a row, or say what is wrong with them."""
        whole = self._first(GelColumn.NAME)
        part = self._first(GelColumn.FRACTION)
        family = self._first(GelColumn.FAMILY)
        if whole is not None:
            self._whole_name(making, whole, part)
            return
        for column, name in ((family, "family"), (part, "fraction")):
            if column is not None and (text := unescape(making.text(column))):
                making.at[name] = column
                making.values[name] = text
        if "family" in making.values and family is not None:
            making.values["family"] = self._family = family_of(str(making.values["family"]))
        elif family is not None and self._family and "fraction" in making.values:
            making.values["family"] = self._family  # written once, over the rows beneath it
            making.row.notes.append(f"{self._family}, as above")
        if "fraction" in making.values and part is not None:
            making.values["fraction"] = self._fraction(str(making.values["fraction"]), making, part)

    def _first(self, column: GelColumn) -> TakenColumn | None:
        return next((c for c in self._columns if c.column is column), None)

    def _fraction(self, text: str, making: RowMaking, column: TakenColumn) -> str:
        text = plain_fraction(text)
        if column.meant.percent and re.fullmatch(r"\d{1,3}(?:[.,]\d)?", text.strip()):
            text = f"{text.strip()}%"
        family = str(making.values.get("family", ""))
        known = known_family(family)
        if column.heading.casefold() == "fraction" and known != ND:
            return text if fractions_of(text)[:1] in ((), (text,)) or "." in text else fractions_of(text)[0]
        found = fractions_of(text, known or "")
        if len(found) > 1 and family:
            return self._settled(GelName(family, found[0], found[1:]), making, column)
        return found[0] if found else text

    def _whole_name(self, making: RowMaking, column: TakenColumn, part: TakenColumn | None) -> None:
        text = unescape(making.text(column))
        making.at["family"] = making.at["fraction"] = column
        name, making.aside = _without_aside(text)
        if name is None:
            says = f"{text[:40]!r} names no gel" if text else "family is empty"
            making.refuse(column.shown, says, "one family and its fraction, such as CTO 1/2")
            return
        fraction = self._settled(name, making, column) if name.others else name.fraction
        own = unescape(making.text(part)) if part is not None else ""
        if part is not None and own:
            making.at["fraction"] = part
            making.values["family"] = name.family
            said = self._fraction(own, making, part)
            if fraction and said != fraction:
                says = f"the name says {fraction} and the column {part.shown} says {said}"
                making.refuse(part.shown, says, "the same fraction in both", part.at, (fraction,))
            fraction = said
        if not fraction and known_family(name.family) == ND:
            fraction = self._density_by_light(making)
            if not fraction:
                says = f"{text[:40]!r} says no density"
                making.refuse(column.shown, says, "a density, such as ND 0.3", column.at)
        elif not fraction:
            fraction = "full"
            making.row.notes.append(f"{name.family}: no fraction, so full")
        making.values |= {"family": name.family, "fraction": fraction}

    def _density_by_light(self, making: RowMaking) -> str:
        lost = self._lost(making)
        return f"{lost / STOPS_PER_DENSITY:.2f}".rstrip("0").rstrip(".") if lost else ""

    def _lost(self, making: RowMaking) -> float | None:
        for column in _light_of(self._columns):
            found = figure(making.text(column), column.meant, self._mark)
            if found is not None and found.value is not None:
                return found.value
        return None

    def _settled(self, name: GelName, making: RowMaking, column: TakenColumn) -> str:
        """Settle what a bare number behind ND means by the light that the row says is lost, or ask."""
        every = (name.fraction, *name.others)
        lost = self._lost(making)
        if lost is not None:
            return min(every, key=lambda f: abs(float(f) * STOPS_PER_DENSITY - lost))
        likely = [f"ND {f}" for f in every] if column.column is GelColumn.NAME else list(every)
        says = f"{making.text(column)[:40]!r} can be a density or a factor"
        making.refuse(column.shown, says, " or ".join(f"ND {f}" for f in every), column.at, likely)
        return name.fraction


def _without_aside(text: str) -> tuple[GelName | None, str]:
    """Return the gel that a cell names, and what is remarked beside it: "1/2 CTO (creased)"."""
    name = understand_name(text)
    if name is not None and known_family(name.family):
        return name, ""
    aside = _ASIDE.fullmatch(text[:_LONGEST])
    bare = understand_name(aside[1]) if aside else None
    said = (aside[2] or aside[3]).strip() if aside else ""
    if said and not family_within(said) and bare and bare.fraction and known_family(bare.family):
        return bare, said
    return name, ""


def _light_of(columns: Sequence[TakenColumn]) -> list[TakenColumn]:
    """Return the columns that tell the light lost, the plainest first."""
    return sorted((c for c in columns if c.column in LIGHT), key=lambda c: LIGHT.index(c.column))


def key_of(name: GelName) -> str:
    """Return what tells a gel's name from others; one without a fraction is full."""
    return name_key(f"{name.family} {name.fraction or 'full'}")


def name_of(cells: Sequence[str], columns: Sequence[TakenColumn]) -> str:
    """Return the key of the gel that the cells of a row name; empty where they name none."""
    held = {c.column: cells[c.at] for c in columns if c.at < len(cells)}
    if (whole := held.get(GelColumn.NAME)) is not None:
        name = understand_name(whole)
        if name is not None and not name.fraction and GelColumn.FRACTION in held:
            name = understand_name(f"{whole} {held[GelColumn.FRACTION]}")
    else:
        name = understand_name(f"{held.get(GelColumn.FAMILY, '')} {held.get(GelColumn.FRACTION, '')}")
    return key_of(name) if name is not None else ""
