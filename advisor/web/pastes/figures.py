"""The figures of rows that were understood, as fields in which they can be said otherwise."""

from collections.abc import Sequence

from ...imports import PastedRow
from ...imports.readings.answers import FIGURES_SHOWN, figure_keys
from ...imports.readings.result import keys_of
from ...imports.vocabulary.headings import Field
from ...model import Reading


def figures_of_each(rows: Sequence[PastedRow]) -> list[list[tuple[Field, str, str]]]:
    """Return of each row its figures: what each is, the key of its answer, and what it was read as.

    They are in kelvin, Duv and lux. A Duv that nobody read is empty; a colour that is given in another way
    has none.
    """
    if not rows:
        return []
    keys = figure_keys([key for key, _ in keys_of(rows)])
    return [
        _figures(row.source.reading if row.source else None, own) for row, own in zip(rows, keys, strict=True)
    ]


def _figures(reading: Reading | None, keys: Sequence[str]) -> list[tuple[Field, str, str]]:
    if reading is None or reading.cct is None or reading.duv is None or reading.spectrum is not None:
        return []
    duv = "" if reading.duv_assumed else f"{reading.duv:.5f}".rstrip("0").rstrip(".")
    lux = "" if reading.lux is None else f"{reading.lux:.6g}"
    return list(zip(FIGURES_SHOWN, keys, (f"{reading.cct:.0f}", duv, lux), strict=True))
