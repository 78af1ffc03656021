"""What an imported table changes in the table in force: gels that are new, changed and gone."""

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass

from ...advice.teaching.possible_rows import checked
from ...imports.gels.draft_row import DraftRow
from ...model import Gel, GelTable, Refused
from ...model.basis.base import name_key

_FIGURES = ("mired", "cc", "stops", "reference")
_SURE = ("known", "percent")
_BESIDE = ("stock", "note", "on")


@dataclass(frozen=True)
class ChangedGel:
    """A gel of the table in force, and as it would be."""

    old: Gel
    new: Gel


@dataclass(frozen=True)
class TableChange:
    """The table that would be in force, and what is new, changed and gone in it beside the one that is."""

    rows: tuple[Gel, ...]
    new: tuple[Gel, ...]
    changed: tuple[ChangedGel, ...]
    gone: tuple[Gel, ...]
    same: int

    @property
    def table(self) -> GelTable:
        """The table that would be in force; raises pydantic's error where it is too long."""
        return GelTable(rows=list(self.rows))

    @property
    def fingerprint(self) -> str:
        """What tells this change from another one."""
        said = "\n".join(gel.model_dump_json() for gel in self.rows)
        return hashlib.sha256(said.encode()).hexdigest()[:16]


def replaced_by(now: GelTable, rows: Sequence[DraftRow]) -> TableChange:
    """Return what changes if the rows without faults replace the table."""
    return _compared(now, [row.gel for row in rows if row.gel is not None and not row.wrong])


def added_to(now: GelTable, rows: Sequence[DraftRow]) -> TableChange:
    """Return the change if such rows are added: of a gel that is there only what its row says is changed."""
    found = {name_key(row.gel.name): row for row in rows if row.gel is not None and not row.wrong}
    out = []
    for gel in now.rows:
        row = found.pop(name_key(gel.name), None)
        out.append(gel if row is None else _laid_on(gel, row))
    return _compared(now, [*out, *(row.gel for row in found.values() if row.gel is not None)])


def _laid_on(gel: Gel, row: DraftRow) -> Gel:
    new = row.gel
    assert new is not None, "a row without a gel is not added"
    changed = {name: getattr(new, name) for name in (*_BESIDE, *_SURE) if name in row.said}
    told = [name for name in _FIGURES if name in row.said]
    if new.transmittance is not None:
        changed |= {name: getattr(new, name) for name in (*_FIGURES, *_SURE, "transmittance")}
    elif any(getattr(new, name) != getattr(gel, name) for name in told):
        # Other figures are another label: what was measured or fitted before it no longer holds.
        changed = dict.fromkeys(_SURE) | {"transmittance": None} | changed
        changed |= {name: getattr(new, name) for name in told}
    laid = gel.model_copy(update=changed)
    try:
        return checked(laid)
    except Refused:  # the row's own figures are possible, beside those that it leaves alone they are not
        return new


def _compared(now: GelTable, rows: Sequence[Gel]) -> TableChange:
    before = {name_key(gel.name): gel for gel in now.rows}
    after = {name_key(gel.name): gel for gel in rows}
    kept = [ChangedGel(before[key], gel) for key, gel in after.items() if key in before]
    return TableChange(
        rows=tuple(rows),
        new=tuple(gel for key, gel in after.items() if key not in before),
        changed=tuple(pair for pair in kept if pair.old != pair.new),
        gone=tuple(gel for key, gel in before.items() if key not in after),
        same=sum(pair.old == pair.new for pair in kept),
    )
