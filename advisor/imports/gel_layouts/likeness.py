"""What a column holds by what is in it: units, fractions, kelvins, figures near those of the trade's gels."""

from collections.abc import Callable, Sequence
from itertools import pairwise

from ..vocabulary.gel_headings import LIGHT, GelColumn, GelHeading, says_light, says_shift
from ..vocabulary.gel_names import fractions_of, is_whole_name, known_family, understand_name
from ..vocabulary.gel_strengths import nominal
from ..vocabulary.gel_words.units import OPEN
from .figures import amount, column_of_unit, figure, is_figure, said_on

MOST = 0.7
"""The share of a column's cells that has to be of one sort to tell what the column is (our own judgement)."""
_KELVIN = (GelColumn.REFERENCE, GelColumn.FROM, GelColumn.TO)
_SHEETS = {GelColumn.ROLLS, GelColumn.STOCK}
_STOCK = GelHeading(GelColumn.STOCK)
_USUAL = frozenset({"1/8", "1/4", "1/3", "1/2", "2/3", "3/4", "full"})
_ALIKE = (0.5, 2.0)
_MOST_SHEETS, _MOST_STOPS = 99, 5
_FEWEST_STEPS = 1
_FAR = 8
"""Most shifts in mired are larger, and in CC or stops smaller."""


def share(cells: Sequence[str], is_one: Callable[[str], object]) -> float:
    """Return the share of cells of one sort; 0 of none."""
    return sum(bool(is_one(c)) for c in cells) / len(cells) if cells else 0.0


def by_units(cells: Sequence[str], *, headed: bool = True) -> GelColumn | None:
    """Return what a column holds whose cells bring their units; None where they do not, or of several."""
    own = [c for cell in cells if (c := column_of_unit(cell)) is not None]
    units = set(own)
    if (
        not units
        or 2 * len(own) < len(cells)
        or not all(is_figure(c) or figure(c, _STOCK, None) for c in cells)
    ):
        return None
    if units <= set(LIGHT) and len(units) > 1 and all(map(column_of_unit, cells)):
        return GelColumn.STOPS  # each cell says how it counts the light
    if not headed and units == {GelColumn.MIRED, GelColumn.CC} and all(map(column_of_unit, cells)):
        return GelColumn.MIRED  # each says which of the two it is
    return units.pop() if len(units) == 1 else GelColumn.STOCK if units == _SHEETS else None


def are_fractions(cells: Sequence[str]) -> bool:
    """Whether the cells are fractions in words or strokes: "half", "1/4"."""
    bare = all("/" not in c and any(map(str.isdigit, c)) for c in cells)
    usual = all(set(fractions_of(c)) <= _USUAL for c in cells)  # 0.9 and 0.7 are no shares of a gel
    return share(cells, _is_stroke) >= MOST and (usual or not bare)


def _is_stroke(cell: str) -> bool:
    worded = "/" in cell or not any(map(str.isdigit, cell))
    return bool(fractions_of(cell)) and (worded or amount(cell) is None or column_of_unit(cell) is None)


def has_fraction(cell: str) -> bool:
    """Whether a cell is a gel's name with its fraction."""
    name = understand_name(cell)
    return name is not None and bool(name.fraction)


def is_name(cell: str) -> bool:
    """Whether a cell may be a gel's name, and no figure."""
    return not is_figure(cell) and understand_name(cell) is not None


def is_trade_name(cell: str) -> bool:
    """Whether a cell names a gel of a family that the trade knows."""
    name = understand_name(cell)
    return name is not None and known_family(name.family) is not None


def is_kelvin(cell: str) -> bool:
    """Whether a cell can be a colour temperature in K."""
    found = amount(cell, None, 1000.0, 25000.0)
    return found is not None and 1000.0 <= found.value <= 25000.0


def agreeing(meant: GelHeading, cells: Sequence[str]) -> GelHeading:
    """Return another meaning of a heading's words where what is in the column says so."""
    column, unused = meant.column, GelHeading(GelColumn.UNUSED)
    if not cells:
        return meant
    if column in (GelColumn.FRACTION, *LIGHT) and share(cells, is_whole_name) >= MOST:
        return GelHeading(GelColumn.NAME)
    if column is GelColumn.DENSITY and share(cells, _no_density) >= 0.5:
        return GelHeading(GelColumn.FRACTION)
    if column is GelColumn.STOCK and (_are_shares(cells) or _are_strengths(cells)):
        return GelHeading(GelColumn.FRACTION)
    if column is GelColumn.STOPS and share(cells, lambda c: "%" in c) >= MOST:
        return GelHeading(GelColumn.LOST, percent=True)
    if column is GelColumn.KNOWN and share(cells, _is_known) < MOST and meant.vague:
        return GelHeading(GelColumn.REFERENCE) if share(cells, is_kelvin) >= MOST else unused
    if column is GelColumn.ON and any(c.isdecimal() and int(c) > 1 for c in cells):
        return _STOCK  # "used": counted, and no switch
    if column is GelColumn.ON and share(cells, lambda c: said_on(c) is not None) < MOST and meant.vague:
        return unused
    if column in _KELVIN and share(cells, lambda c: figure(c, meant, None)) < 0.5:
        return unused
    if column is GelColumn.FRACTION and share(cells, fractions_of) < 0.5 and meant.vague:
        return unused
    return meant


def _are_shares(cells: Sequence[str]) -> bool:
    """Whether an amount is one of strength: shares of 1, such as 1.0 and 0.5."""
    values = [found.value for cell in cells if (found := amount(cell)) is not None and not found.unit]
    return len(values) == len(cells) and max(values) <= 1 and any(0 < v < 1 for v in values)


def _are_strengths(cells: Sequence[str]) -> bool:
    """Whether an amount is one of strength: strokes such as 3/4, with none but the usual ones beside them."""
    strokes = sum("/" in cell for cell in cells)
    return 2 * strokes >= len(cells) and strokes > 1 and all(map(_is_stroke, cells)) and are_fractions(cells)


def _no_density(cell: str) -> bool:
    return bool(fractions_of(cell)) and ("/" in cell or amount(cell) is None)


def _is_known(cell: str) -> bool:
    return cell.strip().casefold() in ("generic", "swatch", "taught", "measured")


def by_names(names: Sequence[str], cells: Sequence[str]) -> GelColumn | None:
    """Return what a column says whose figures are near those of the gels named beside them; None of none.

    Both have a cell for each row.
    """
    near: dict[GelColumn, list[bool]] = {}
    for said, cell in zip(names, cells, strict=True):
        gel, found = understand_name(said), amount(cell)
        usual = nominal(gel.family, gel.fraction or "full") if gel else None
        if usual and found and found.value:
            ratio = abs(found.value / usual[1])
            near.setdefault(usual[0], []).append(_ALIKE[0] <= ratio <= _ALIKE[1])
    return next((c for c, alike in near.items() if len(alike) > 1 and sum(alike) >= MOST * len(alike)), None)


def by_shift(heading: str, cells: Sequence[str]) -> GelColumn | None:
    """Say what a column headed "shift" or "light" likely is: mired, or stops, where it is of that size."""
    said = [found.value for cell in cells if (found := amount(cell)) is not None]
    if says_light(heading) and said and max(map(abs, said)) <= _MOST_STOPS:
        return GelColumn.STOPS
    far = 2 * sum(abs(value) >= _FAR for value in said) > len(said)
    return GelColumn.MIRED if far and says_shift(heading) else None


def signed_as(names: Sequence[str], cells: Sequence[str]) -> bool:
    """Whether a column has figures in mired of both signs, each that of the gel named beside it.

    Both have a cell for each row.
    """
    signs: set[bool] = set()
    if any(column_of_unit(cell) not in (None, GelColumn.MIRED) for cell in cells):
        return False
    for said, cell in zip(names, cells, strict=True):
        gel, found = understand_name(said), amount(cell)
        usual = nominal(gel.family, gel.fraction or "full") if gel else None
        if usual and usual[0] is GelColumn.MIRED and found and found.value:
            if (found.value > 0) != (usual[1] > 0):
                return False
            signs.add(found.value > 0)
    return len(signs) > 1


def light_by_strength(names: Sequence[str], cells: Sequence[str]) -> bool | None:
    """Say whether figures rise with the strength of the gels named beside them; None where they do neither.

    What lets less through the stronger the gel is, is transmission; what rises is the light that is lost.
    Both have a cell for each row.
    """
    told: dict[str, list[tuple[float, float]]] = {}
    for said, cell in zip(names, cells, strict=bool(names)):
        gel, found = understand_name(said), amount(cell)
        usual = nominal(gel.family, gel.fraction or "full") if gel else None
        if gel is not None and usual is not None and found is not None:
            told.setdefault(gel.family, []).append((abs(usual[1]), found.value))
    steps = [b[1] - a[1] for own in told.values() for a, b in pairwise(sorted(own)) if a[0] != b[0]]
    if len(steps) < _FEWEST_STEPS or 0 in map(abs, steps):
        return None
    rising = sum(step > 0 for step in steps)
    return rising == len(steps) if rising in (0, len(steps)) else None


def plain_numbers(cells: Sequence[str]) -> GelColumn | None:
    """Say what small numbers without a heading likely are: shares of stops, or sheets; None of others."""
    values = [a.value for c in cells if (a := amount(c)) is not None and not a.unit and not a.sign]
    if not values or len(values) < len(cells) or min(values) < 0:
        return None
    if all(v == int(v) for v in values):
        return GelColumn.STOCK if max(values) <= _MOST_SHEETS else None
    return GelColumn.STOPS if max(values) <= _MOST_STOPS else None


def is_open(cell: str) -> bool:
    """Whether a cell says that its figure is still to come, or that a spreadsheet has none."""
    return cell.casefold().strip(" ().!") in OPEN


def holds_figure(cell: str) -> bool:
    """Whether a cell says a number, and names no gel."""
    return any(map(str.isnumeric, cell)) and not is_trade_name(cell)
