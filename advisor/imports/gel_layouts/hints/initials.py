"""Headings of one letter, "G M C T Q": what each likely stands for, which is always asked."""

from collections.abc import Sequence

from ...vocabulary.gel_headings import GelColumn

_MOST_SHEETS = 99
_MEANS = {
    "c": GelColumn.CC,
    "l": GelColumn.STOPS,
    "m": GelColumn.MIRED,
    "n": GelColumn.STOCK,
    "q": GelColumn.STOCK,
}


def is_initial(heading: str) -> bool:
    """Whether a heading is a single letter."""
    return len(heading.strip()) == 1 and heading.strip().isalpha()


def meant_by_initial(heading: str, values: Sequence[float]) -> GelColumn | None:
    """Return what a heading of one letter likely stands for over such numbers; None where that is open."""
    if not values:
        return None
    letter = heading.strip().casefold()
    whole = all(v == int(v) and 0 <= v <= _MOST_SHEETS for v in values)
    if letter in ("s", "p"):  # stops and sheets, or pieces
        return GelColumn.STOCK if whole else GelColumn.STOPS
    meant = _MEANS.get(letter)
    return None if meant is GelColumn.STOCK and not whole else meant
