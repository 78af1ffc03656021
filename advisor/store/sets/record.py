"""The record of a set as a page lists it: each change in words, and whether it still stands."""

from collections.abc import Callable
from dataclasses import dataclass

from ..file.database import Database
from ..tables import history, rows
from ..tables.records import Change, Struck
from . import log
from .undo import can_be_undone, changed_fields, undone_by


@dataclass(frozen=True, slots=True)
class ChangeLine:
    """A change as the record lists it, in words.

    `struck` says that the reading that it is about is struck out, `undone` by which change it was undone,
    `taken_at` when a reading was taken that came in later.
    """

    change: Change
    told: log.ChangeInWords
    struck: Struck | None
    undone: Change | None
    taken_at: str = ""

    @property
    def takes(self) -> bool:
        """Whether a reading was taken in it."""
        return self.change.reading is not None and self.change.reading_id is None

    @property
    def stands(self) -> bool:
        """Whether it is something that can be undone, and was not."""
        return self.undone is None and can_be_undone(self.change)

    @property
    def mendable(self) -> int | None:
        """The reading that was taken in it, or is the one that it mended, by its id, as long as it counts."""
        if self.takes:
            return None if self.struck else self.change.reading
        mended = self.change.mended
        return mended[0][1] if len(mended) == 1 and self.undone is None and not self.struck else None

    @property
    def worked(self) -> bool:
        """Whether it changed what is known of the work on a head, or mended what was read of it.

        A reading that is struck out did not.
        """
        if self.change.mended:
            return True
        return "work" in changed_fields(self.change) and not (self.takes and self.struck)


class RecordStore:
    """The records of the sets in `db`."""

    def __init__(self, db: Database) -> None:
        self._db = db

    def lines(
        self, set_id: int, most: int, source_id: int | None = None, gel: Callable[[str], str] = str
    ) -> list[ChangeLine]:
        """Return the newest changes of a set or one of its sources, newest first, each with its words.

        `gel` writes a gel's name. Raises NotFound.
        """
        with self._db.read() as conn:
            rows.present_set(conn, set_id)
            every = history.load_changes(conn, set_id, source_id)
            changes = every[: -most - 1 : -1]
            struck, undone = rows.struck_in(conn, set_id), undone_by(every)
            told, late = log.words(conn, changes, gel), rows.late_in(conn, set_id)
        return [
            ChangeLine(c, t, struck.get(_about(c)), undone.get(c.id), late.get(c.reading or 0, ""))
            for c, t in zip(changes, told, strict=True)
        ]


def _about(change: Change) -> int:
    """Return the reading that a change took, or that it mended; 0 where that is none, or several."""
    return change.reading or (change.mended[0][1] if len(change.mended) == 1 else 0)
