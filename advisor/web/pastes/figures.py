"""The figures of rows that were understood, as fields in which they can be said otherwise."""

from collections.abc import Sequence

from ...imports.readings.answers import FIGURES_SHOWN, figure_keys
from ...imports.vocabulary.headings import Field
from ...model import Reading
from .looks import LookedRow


def figures_of_each(rows: Sequence[LookedRow]) -> list[list[tuple[Field, str, str]]]:
    """Return of each row its figures: what each is, the key of its answer, and what it was read as.

    They are in kelvin, Duv and lux. A Duv that nobody read is empty; a colour that is given in another way
    has none.
    """
    sources = [row.pasted.source for row in rows]
    keys = figure_keys([row.key for row in rows])
    return [_figures(one.reading if one else None, own) for one, own in zip(sources, keys, strict=True)]


def _figures(reading: Reading | None, keys: Sequence[str]) -> list[tuple[Field, str, str]]:
    if reading is None or reading.cct is None or reading.duv is None or reading.spectrum is not None:
        return []
    duv = "" if reading.duv_assumed else f"{reading.duv:.5f}".rstrip("0").rstrip(".")
    lux = "" if reading.lux is None else f"{reading.lux:.6g}"
    return list(zip(FIGURES_SHOWN, keys, (f"{reading.cct:.0f}", duv, lux), strict=True))
