"""The figures of rows that were understood, as fields in which they can be said otherwise."""

from collections.abc import Sequence

from ...imports import PastedRow
from ...imports.readings.answers import FIGURES_SHOWN, cell_key
from ...imports.vocabulary.headings import Field


def figures_of_each(rows: Sequence[PastedRow]) -> list[list[tuple[Field, str, str]]]:
    """Return of each row its figures: what each is, the key of its answer, and what it was read as.

    They are in kelvin, Duv and lux. A Duv that nobody read is empty; a colour that is given in another way
    has none.
    """
    return [_figures(row) for row in rows]


def _figures(row: PastedRow) -> list[tuple[Field, str, str]]:
    reading = row.source.reading if row.source else None
    if reading is None or reading.cct is None or reading.duv is None or reading.spectrum is not None:
        return []
    duv = "" if reading.duv_assumed else f"{reading.duv:.5f}".rstrip("0").rstrip(".")
    lux = "" if reading.lux is None else f"{reading.lux:.6g}"
    texts = f"{reading.cct:.0f}", duv, lux
    return [(field, cell_key(row.key, field), text) for field, text in zip(FIGURES_SHOWN, texts, strict=True)]
