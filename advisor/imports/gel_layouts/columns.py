"""What each column of a gel table is taken for: by its heading, by what is in it, or as somebody said."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from statistics import median

from ..spectra.cells import wavelength_in
from ..vocabulary.gel_headings import EFFECTS, LIGHT, GelColumn, GelHeading, understand_gel_heading
from ..vocabulary.gel_names import fractions_of, understand_name
from .figures import amount, is_nothing
from .hints.initials import is_initial, meant_by_initial
from .layout import FEWEST_WAVES, GelLayout
from .likeness import (
    MOST,
    agreeing,
    are_fractions,
    by_names,
    by_shift,
    by_units,
    has_fraction,
    holds_figure,
    is_kelvin,
    is_name,
    is_trade_name,
    light_by_strength,
    plain_numbers,
    share,
    signed_as,
)

_LOOKED_AT = 200
_NAMES = (GelColumn.NAME, GelColumn.FAMILY)
_KELVIN = (GelColumn.REFERENCE, GelColumn.FROM, GelColumn.TO)
_OFTEN = {GelColumn.UNUSED, GelColumn.NOTE, GelColumn.CC, GelColumn.STOCK, GelColumn.NAME, *LIGHT}
_LOST, _UNUSED = GelHeading(GelColumn.LOST, percent=True), GelHeading(GelColumn.UNUSED)


@dataclass(frozen=True)
class TakenColumn:
    """A column (from 0), its heading, and what it is taken for; `wave` is its wavelength in a curve. [nm]

    `asked` says why somebody has to say so first: nothing but a likeness speaks for it, or two say the same.
    """

    at: int
    heading: str
    meant: GelHeading
    wave: float | None = None
    asked: str = ""

    @property
    def column(self) -> GelColumn:
        """What it holds."""
        return self.meant.column

    @property
    def shown(self) -> str:
        """The column as a person points at it: by its heading, else by its number."""
        return self.heading or f"{self.at + 1}"


def take_columns(layout: GelLayout, chosen: Mapping[int, GelColumn]) -> list[TakenColumn]:
    """Return what the columns of a table are; `chosen` is what somebody said of some of them."""
    cells = [_cells_of(layout, at) for at in range(len(layout.head.cells))]
    waves = [wavelength_in(h) if h else None for h in layout.head.cells]
    curve = sum(w is not None for w in waves) >= FEWEST_WAVES
    columns = []
    for at, heading in enumerate(layout.head.cells):
        wave = waves[at]
        if at in chosen:
            columns.append(TakenColumn(at, heading, _as_chosen(heading, chosen[at])))
        elif curve and wave is not None:
            columns.append(TakenColumn(at, heading, _UNUSED, wave=wave[0]))
        else:
            columns.append(_by_heading(at, _with_unit(heading, layout.units, at), heading, cells[at]))
    free = {c.at for c in columns if c.at not in chosen}
    columns = _two_ways(columns, cells, free)
    columns = _once(columns, free)
    columns = _contradicted(columns, layout, free)
    columns = _named(columns, cells, free)
    columns = _swapped(columns, layout, free)
    for at in sorted(free):  # what one is taken for, no other is likely to be
        columns = [_alike(c, columns, layout) if c.at == at else c for c in columns]
    columns = _once(columns, free)
    return [_scaled(c, cells[c.at]) if c.at in free else c for c in columns]


def _two_ways(
    columns: list[TakenColumn], cells: Sequence[Sequence[str]], free: set[int]
) -> list[TakenColumn]:
    """Take columns of figures headed G and M, which stand together, for green and magenta."""
    letters = {c.heading.strip(): c.at for c in columns if c.at in free and c.heading.strip() in ("G", "M")}
    if set(letters) != {"G", "M"} or any(share(cells[at], amount) < MOST for at in letters.values()):
        return columns
    signs = {letters["G"]: 1.0, letters["M"]: -1.0}
    return [
        replace(c, meant=GelHeading(GelColumn.CC, signs[c.at]), asked="") if c.at in signs else c
        for c in columns
    ]


def _cells_of(layout: GelLayout, at: int) -> list[str]:
    return [c for c in _column(layout, at) if not is_nothing(c)]


def _column(layout: GelLayout, at: int) -> list[str]:
    return [r.cell(at) for r in layout.rows[:_LOOKED_AT]]


def _with_unit(heading: str, units: Sequence[str], at: int) -> str:
    unit = units[at].strip(" ()[]") if at < len(units) else ""
    return f"{heading} ({unit})" if unit and unit not in heading else heading


def _as_chosen(heading: str, column: GelColumn) -> GelHeading:
    said = understand_gel_heading(heading)
    return said if said is not None and said.column is column else GelHeading(column)


def _by_heading(at: int, told: str, heading: str, cells: Sequence[str]) -> TakenColumn:
    """Take a column by its heading, where what is in it agrees; else by the units of its cells."""
    if (meant := understand_gel_heading(told) if told else None) is not None:
        return TakenColumn(at, heading, agreeing(meant, cells))
    shown = repr(heading[:40]) if heading else f"{at + 1}"
    if (column := by_units(cells, headed=bool(heading))) is not None:
        # A per cent sign alone may stand behind many things.
        asked = f"column {shown} looks like {column}" if column is GelColumn.TRANSMISSION else ""
        asked = (
            "" if all(re.match(r"(?:t|tau|passes|transmits)\W", c, re.IGNORECASE) for c in cells) else asked
        )
        return TakenColumn(at, heading, GelHeading(column), asked=asked)
    if are_fractions(cells):
        return TakenColumn(at, heading, GelHeading(GelColumn.FRACTION))
    numeric = share(cells, amount if heading else holds_figure) >= 0.5
    return TakenColumn(at, heading, _UNUSED, asked=f"column {shown} is not known" if numeric else "")


def _once(columns: list[TakenColumn], free: set[int]) -> list[TakenColumn]:
    """Leave out each column that says what another one before it says already, and ask about it."""
    headed: dict[str, int] = {}
    held: dict[GelColumn, int] = {}
    out = []
    for column in columns:
        first = column.at
        if column.wave is None and column.column is not GelColumn.UNUSED:
            heading = column.heading.casefold()
            first = headed.setdefault(heading, column.at) if heading else column.at
            if column.column not in _OFTEN and column.meant.factor >= 0:
                first = min(first, held.setdefault(column.column, column.at))
        if first != column.at and column.at in free:
            says = f"column {column.heading[:40]!r} is there twice, as {first + 1} and {column.at + 1}"
            column = replace(column, meant=_UNUSED, asked=says)
        out.append(column)
    return out


def _contradicted(columns: list[TakenColumn], layout: GelLayout, free: set[int]) -> list[TakenColumn]:
    """Ask about what was taken for fractions by its figures where the names beside say others."""
    told = [c for c in columns if c.column in _NAMES]
    told = told or [
        c for c in columns if not c.heading and share(_cells_of(layout, c.at), has_fraction) >= MOST
    ]
    names = [_column(layout, c.at) for c in told]

    def is_other(column: TakenColumn) -> bool:
        own = _column(layout, column.at)
        pairs = [p for told in names for p in zip(told, own, strict=True) if has_fraction(p[0]) and p[1]]
        differ = sum(set(fractions_of(cell)).isdisjoint(_said_by(name)) for name, cell in pairs)
        # Without a heading nothing but its figures says that it holds fractions.
        said = understand_gel_heading(column.heading) if column.heading else None
        return len(pairs) > 1 and differ > (MOST * len(pairs) if said is not None else 0)

    def settled(column: TakenColumn) -> TakenColumn:
        guessed = column.at in free and column.column is GelColumn.FRACTION
        said = understand_gel_heading(column.heading)
        if not guessed or (said is not None and not said.vague) or not is_other(column):
            return column
        shown = repr(column.heading[:40]) if column.heading else f"{column.at + 1}"
        return replace(column, meant=_UNUSED, asked=f"column {shown} is not known")

    return [settled(c) for c in columns]


def _said_by(name: str) -> tuple[str, ...]:
    found = understand_name(name)
    return (found.fraction, *found.others) if found is not None else ()


def _named(columns: list[TakenColumn], cells: Sequence[Sequence[str]], free: set[int]) -> list[TakenColumn]:
    """Settle which columns make the name: one alone, or a family with a fraction."""
    if not any(c.column in _NAMES for c in columns):
        like = [c for c in columns if c.at in free and c.wave is None and c.column is GelColumn.UNUSED]
        like = [c for c in like if not c.heading or share(cells[c.at], is_trade_name) >= MOST]
        found = next((c for c in like if share(cells[c.at], is_name) >= MOST), None)
        columns = [
            replace(c, meant=GelHeading(GelColumn.NAME), asked="") if c is found else c for c in columns
        ]
    names = [c for c in columns if c.column in _NAMES]
    if not names:
        return columns
    parted = any(c.column is GelColumn.FRACTION for c in columns)
    likely = is_trade_name if parted else has_fraction

    def sure(column: TakenColumn) -> tuple[bool, float, bool, int]:
        cell = column.at
        return cell not in free, share(cells[cell], likely), column.column is GelColumn.FAMILY, -cell

    best = max(names, key=sure)
    if not parted and best.at in free and not share(cells[best.at], has_fraction):
        density = next((c for c in columns if c.column is GelColumn.DENSITY and c.at in free), None)
        if density is not None:  # what an ND is called by
            columns = [
                replace(c, meant=GelHeading(GelColumn.FRACTION)) if c is density else c for c in columns
            ]
            parted = True
    meant = _whole_or_part(best, cells[best.at], parted=parted) if best.at in free else best.meant
    return [
        replace(c, meant=meant if c.at == best.at else _UNUSED) if c in names and c.at in free else c
        for c in columns
    ]


def _whole_or_part(column: TakenColumn, cells: Sequence[str], *, parted: bool) -> GelHeading:
    """Say whether a column holds whole names, or families whose fractions stand beside."""
    headed = column.heading.casefold() == "family"
    whole = share(cells, has_fraction) > (0.5 if headed else 0.0) or not (parted or headed)
    return GelHeading(GelColumn.NAME if whole else GelColumn.FAMILY)


def _names(columns: Sequence[TakenColumn], layout: GelLayout) -> list[str]:
    """Return what the rows call their gels; none where no column says it."""
    told = [_column(layout, c.at) for c in columns if c.column in (*_NAMES, GelColumn.FRACTION)]
    return [" ".join(parts) for parts in zip(*told, strict=True)]


def _swapped(columns: list[TakenColumn], layout: GelLayout, free: set[int]) -> list[TakenColumn]:
    """Ask whether mired and light are swapped where the light's figures are those of the gels' shifts."""
    at = {c.column: c for c in columns if c.at in free and c.heading}
    shift, light = at.get(GelColumn.MIRED), at.get(GelColumn.STOPS)
    names = _names(columns, layout)
    if not names or shift is None or light is None:
        return columns
    if [by_names(names, _column(layout, c.at)) is GelColumn.MIRED for c in (shift, light)] != [False, True]:
        return columns
    other = {shift.at: light.meant, light.at: shift.meant}
    asked = f"columns {shift.shown[:40]!r} and {light.shown[:40]!r} look swapped"
    return [replace(c, meant=other[c.at], asked=asked) if c.at in other else c for c in columns]


def _alike(column: TakenColumn, columns: Sequence[TakenColumn], layout: GelLayout) -> TakenColumn:
    """Propose what an unknown column of numbers is: kelvins, or figures near those of the trade's gels."""
    if column.asked and column.column is GelColumn.TRANSMISSION and not column.heading:
        rises = light_by_strength(_names(columns, layout), _column(layout, column.at))
        lost = replace(column, meant=_LOST, asked=column.asked.replace(column.column, _LOST.column))
        return column if rises is None else lost if rises else replace(column, asked="")
    if not column.asked or column.column is not GelColumn.UNUSED or "twice" in column.asked:
        return column
    own, taken = _column(layout, column.at), {c.column for c in columns}
    filled = [c for c in own if not is_nothing(c)]
    likely = GelColumn.REFERENCE if share(filled, is_kelvin) == 1.0 else None
    names = _names(columns, layout)
    likely = likely or (by_names(names, own) if names else None)
    sure = bool(names) and not is_initial(column.heading) and signed_as(names, own)
    if likely is GelColumn.MIRED not in taken and sure:
        return replace(column, meant=GelHeading(likely), asked="")  # it can be nothing else
    if likely is None and is_initial(column.heading):
        said = [found.value for cell in filled if (found := amount(cell)) is not None]
        likely = meant_by_initial(column.heading, said) if len(said) == len(filled) else None
    if likely is None:
        likely = by_shift(column.heading, filled) if column.heading else plain_numbers(filled)
    if likely is None or likely in taken:
        return column
    shown = repr(column.heading[:40]) if column.heading else f"{column.at + 1}"
    return replace(column, meant=GelHeading(likely), asked=f"column {shown} looks like {likely}")


def _scaled(column: TakenColumn, cells: Sequence[str]) -> TakenColumn:
    """Say whether a column of shares is in per cent: by its sign, or by values that can be nothing else."""
    if column.column not in (GelColumn.TRANSMISSION, GelColumn.LOST):
        return column
    bare = [a.value for c in cells if (a := amount(c)) is not None and not a.unit]
    if not bare:
        return column
    over = max(bare) > 1.0
    mixed = over and 0.0 < min(bare) < 1.0 < median(bare)
    asked = column.asked
    if mixed or (column.meant.percent and not over):
        asked = f"column {column.shown[:40]!r} holds {min(bare):g} to {max(bare):g}: is that {column.column}"
    return replace(column, meant=replace(column.meant, percent=over or column.meant.percent), asked=asked)


def decimal_mark(columns: Sequence[TakenColumn], layout: GelLayout) -> str | None:
    """Return the decimal mark of the table's figures; None where they show none, or both."""
    marks = set()
    at = [c.at for c in columns if c.column in EFFECTS and c.column not in _KELVIN]
    for row in layout.rows[:_LOOKED_AT]:
        for cell in (row.cells[i] for i in at if i < len(row.cells)):
            marks |= {m for m in ",." if m in cell and cell.count(m) == 1}
    return marks.pop() if len(marks) == 1 else None
