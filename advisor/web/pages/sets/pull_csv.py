"""The pull list as a table for a spreadsheet: a row for each opening of each source, then a total a gel."""

import csv
import io
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from ....advice.pull_list.lines import GelPull, GelUse, PullList
from ....imports.text.spreadsheet_cells import escape
from ....model import Opening
from ....model.gels.formats import ComesAs

_COLUMNS = (
    *(
        "row",
        "gel",
        "set",
        "number",
        "source",
        "state",
        "in_place_of",
        "layers",
        "openings",
        "width_m",
        "height_m",
        "cuts",
    ),
    *("panels_each", "seams_each", "cut_from", "sheets", "roll_m", "of_it_spare", "stock", "short"),
)


@dataclass(frozen=True)
class PulledSet:
    """A set on the list: its name, and the numbers of its heads, in their order."""

    name: str
    numbers: Sequence[int]


def pull_csv(pulls: PullList, sets: Sequence[PulledSet]) -> str:
    """Write a pull list; `sets` are what its plans are of, in their order. Totals are left to be pulled."""
    text = io.StringIO()
    writer = csv.DictWriter(text, _COLUMNS, restval="")
    writer.writeheader()
    rows = [row for gel in pulls.gels for row in (*_cuts(gel, sets), _total(gel))]
    for row in (*rows, *_taken_off(pulls, sets)):
        writer.writerow({column: _cell(value) for column, value in row.items()})
    return text.getvalue()


def _cuts(gel: GelPull, sets: Sequence[PulledSet]) -> Iterable[dict[str, object]]:
    for use in gel.uses:
        state = "hung" if use.hangs else "re-used" if use.reused else "to cut"
        where = _where(sets[use.plan], use.head, use.source)
        source = {"row": "cut", "gel": gel.name, **where, "state": state}
        source["in_place_of"] = "; ".join(use.swapped or ())
        piece = gel.size.form is ComesAs.PIECE
        for opening in () if piece else use.openings:
            yield {**source, "layers": use.layers, **_opening(gel, use, opening)}
        if piece or not use.openings:
            yield {**source, "layers": use.layers, "cuts": use.cuts}


def _taken_off(pulls: PullList, sets: Sequence[PulledSet]) -> Iterable[dict[str, object]]:
    for off in pulls.off:
        where = {**_where(sets[off.plan], off.head, off.source), "state": "to take off"}
        for name, layers in Counter(off.gels).items():
            yield {"row": "off", "gel": name, **where, "layers": layers}


def _where(of: PulledSet, head: int, source: str) -> dict[str, object]:
    return {"set": of.name, "number": of.numbers[head], "source": source}


def _opening(gel: GelPull, use: GelUse, opening: Opening) -> dict[str, object]:
    divided = gel.panels(opening)
    return {
        "openings": opening.count,
        "width_m": round(opening.width, 4),
        "height_m": round(opening.height, 4),
        "cuts": opening.count * use.layers,
        "panels_each": divided.count,
        "seams_each": divided.seams,
    }


def _total(gel: GelPull) -> dict[str, object]:
    total = {"row": "total", "gel": gel.name, "cuts": gel.to_cut, "cut_from": gel.size.name}
    stock = {"stock": "" if gel.stock is None else gel.stock, "short": gel.short}
    if gel.size.form is ComesAs.PIECE:
        return {**total, **stock}
    if gel.size.form is ComesAs.SHEET:
        return {**total, "sheets": gel.still.units, "of_it_spare": gel.spare.units, **stock}
    roll, spare = round(gel.still.length, 4), round(gel.spare.length, 4)
    return {**total, "roll_m": roll, "of_it_spare": spare, **stock}


def _cell(value: object) -> object:
    """Keep a spreadsheet from taking text for a formula; numbers stay numbers."""
    return escape(value) if isinstance(value, str) else value
