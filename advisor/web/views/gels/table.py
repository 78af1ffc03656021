"""The gel table: a row a gel, which ones were removed, and what can be put back."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from ....model import Gel, Known
from ....model.sets.phrases import counted
from ....store import StoredTable
from ....store.tables.records import RemovedGel, TableVersion
from ...wording.gels import known_said
from ...wording.values import capitalize_first, cc, mired, stops

_MOST_EARLIER = 20


@dataclass(frozen=True)
class GelRow:
    """A row: its name, what the gel does and how that is known, in words, and whether it is in use.

    `swatch` is its patch, and `known` the mark of how it is known. `sheets` says its stock.
    """

    name: str
    figures: str
    on: bool
    swatch: str
    known: str
    sheets: str


@dataclass(frozen=True)
class GelFamily:
    """The rows of a family, as the table has them."""

    name: str
    rows: tuple[GelRow, ...]


@dataclass(frozen=True)
class EarlierTable:
    """A version that can be put back: what it was, when and by whom it was made, and what would go."""

    version: int
    said: str
    made_at: str | None
    who: str
    would_go: str


@dataclass(frozen=True)
class InTableAgain:
    """A gel that was not brought back, since the table has one of its name again: how it came in, and when.

    `gone` is the version that left it out; `in_force` says whether that name is still in the table.
    """

    name: str
    gone: int
    in_force: bool
    why: str
    at: str | None
    who: str


@dataclass(frozen=True)
class GelTableView:
    """The table in force, which is the `version` that a tap goes by.

    `last` is what changed it last and `undo_to` the version before that; empty and None of the table as
    shipped. `removed_said` counts what was removed. `earlier` is empty where there is no more than `undo_to`.
    """

    version: int
    heading: str
    last: str
    undo_to: int | None
    families: tuple[GelFamily, ...]
    removed: tuple[RemovedGel, ...]
    removed_said: str
    earlier: tuple[EarlierTable, ...]
    there: InTableAgain | None


def view_of(
    now: StoredTable,
    lost: Mapping[str, float],
    patches: Mapping[str, str],
    history: Sequence[TableVersion],
    removed: Sequence[RemovedGel],
    there: tuple[int, str, StoredTable] | None,
) -> GelTableView:
    """Return the table in force.

    `lost` is what each gel costs on its reference [stop], and `patches` are their swatches.

    `history` are all versions, oldest first. `there` is a gel to be brought back: the version that it went
    with, its name, and the version that has another one of that name.
    """
    families: dict[str, list[GelRow]] = {}
    for gel in now.table.rows:
        families.setdefault(gel.family, []).append(_row(gel, lost[gel.name], patches[gel.name]))
    before = [line for line in reversed(history) if line.version < now.version]
    earlier = before[:_MOST_EARLIER] if len(before) > 1 else []
    return GelTableView(
        version=now.version,
        heading=_heading(now.table.rows),
        last=f"{capitalize_first(now.why)}." if before else "",
        undo_to=before[0].version if before else None,
        families=tuple(GelFamily(name, tuple(rows)) for name, rows in families.items()),
        removed=tuple(removed),
        removed_said=f"{counted(len(removed), 'gel')} removed",
        earlier=tuple(_earlier(line, now) for line in earlier),
        there=_there(*there, now) if there else None,
    )


def _heading(rows: Sequence[Gel]) -> str:
    known = sum(gel.knowledge in (Known.TAUGHT, Known.MEASURED) for gel in rows)
    off = sum(not gel.on for gel in rows)
    parts = [counted(len(rows), "gel")]
    parts += [f"{known} by your meter"] if known else []
    parts += [f"{off} not in use"] if off else []
    return ", ".join(parts)


_MARKS = {Known.MEASURED: "curve", Known.TAUGHT: "taught"}
"""The marks of how a gel is known; all else is what its label says."""


def _row(gel: Gel, lost: float, patch: str) -> GelRow:
    return GelRow(
        name=gel.name,
        figures=_figures(gel, lost),
        on=gel.on,
        swatch=patch,
        known=_MARKS.get(gel.knowledge, "label") if gel.knowledge else "label",
        sheets="plenty" if gel.stock is None else str(gel.stock),
    )


def _figures(gel: Gel, lost: float) -> str:
    """Say what a gel does: in brackets what light it costs, where that is worked out."""
    parts = [mired(gel.mired)] if gel.mired else []
    parts += [cc(gel.cc)] if gel.cc else []
    parts += [f"({stops(lost)})" if gel.stops is None else stops(gel.stops)]
    parts += [known_said(gel), "" if gel.on else "not in use"]
    return " · ".join(part for part in parts if part)


def _earlier(line: TableVersion, now: StoredTable) -> EarlierTable:
    return EarlierTable(
        version=line.version,
        said=f"{capitalize_first(line.why)}, {line.gels} gels",
        made_at=line.made_at,
        who=line.who,
        would_go=f"{counted(now.version - line.version, 'later change')} would go",
    )


def _there(gone: int, name: str, since: StoredTable, now: StoredTable) -> InTableAgain:
    return InTableAgain(
        name=name,
        gone=gone,
        in_force=now.table.find(name) is not None,
        why=capitalize_first(since.why),
        at=since.made_at,
        who=since.who,
    )
