"""Tested heads as a table for a spreadsheet: a row for each reading, and one for a head that has none."""

import csv
import io
from collections.abc import Iterable
from datetime import datetime

from ....advice.readings.chromaticity import measure
from ....imports.text.spreadsheet_cells import escape, written
from ....model import HeadReading, Refused
from ....model.sets.head_file import FiledHead, FiledReading, FiledTest

_FIGURES = ("lux", "ra", "r9", "rf", "rg", "ssi", "ssi_reference", "watts")
_COLUMNS = (
    *("head", "group", "kind", "nominal_k", "note"),
    *("begun_at", "distance_m", "minutes_on", "meter"),
    *("level_percent", "modifier", "dial_cct_k", "dial_green"),
    *("cct_k", "duv", "x", "y", *_FIGURES, "taken_at", "taken_by"),
)


def heads_csv(heads: Iterable[FiledHead]) -> str:
    """Return heads with their tests as CSV. It has no readings that were struck out, and no spectra."""
    text = io.StringIO()
    writer = csv.DictWriter(text, _COLUMNS, restval="")
    writer.writeheader()
    for head in heads:
        own = {
            "head": head.head.name,
            "group": head.head.group,
            "kind": head.head.kind.value,
            "nominal_k": head.head.nominal,
            "note": head.head.note,
        }
        rows = [_row(test, r) for test in head.tests for r in test.readings if r.struck_at is None]
        for row in rows or [{}]:
            writer.writerow({column: _cell(value) for column, value in {**own, **row}.items()})
    return text.getvalue()


def _row(test: FiledTest, filed: FiledReading) -> dict[str, object]:
    reading = filed.reading
    return {
        "begun_at": _seconds(test.begun_at),
        "distance_m": test.test.distance,
        "minutes_on": test.test.minutes_on,
        "meter": test.test.meter,
        "level_percent": reading.level,
        "modifier": reading.modifier,
        "dial_cct_k": reading.dial and reading.dial.cct,
        "dial_green": reading.dial and reading.dial.green,
        **_white(reading),
        **{name: getattr(reading, name) for name in _FIGURES},
        "taken_at": _seconds(filed.taken_at),
        "taken_by": filed.who,
    }


def _white(reading: HeadReading) -> dict[str, object]:
    """Return the cells of a reading's white: CCT [K], Duv, x and y.

    CCT and Duv are as the meter gave them, or else worked out from x and y or from the spectrum. x and y are
    only as the meter gave them.
    """
    x, y = reading.xy or (None, None)
    try:
        white = measure(reading)
    except Refused:  # a colour too far from white has no CCT and no Duv
        return {"x": x, "y": y}
    cct, duv = (reading.cct, reading.duv) if reading.spectrum is None and reading.cct else (None, None)
    duv = round(white.duv, 4) if duv is None else duv
    return {"cct_k": cct or round(white.cct), "duv": duv, "x": x, "y": y}


def _seconds(at: str) -> str:
    """Write a time of the store to the second, as spreadsheets understand it."""
    return datetime.fromisoformat(at).strftime("%Y-%m-%dT%H:%M:%SZ")


def _cell(value: object) -> str:
    """Return the text of a cell, so that no spreadsheet takes it for a formula; numbers stay numbers."""
    return written(value) if value is None or isinstance(value, float | int) else escape(str(value))
