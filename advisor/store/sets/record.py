"""The record of a set as a page lists it: each change in words, and whether it still stands."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from pydantic import TypeAdapter

from ...model import Opening, Work
from ..file.database import Database
from ..tables import history, reading_rows, rows, writes
from ..tables.records import Change, Struck
from . import log
from .undo import can_be_undone, changed_fields, undone_by


@dataclass(frozen=True, slots=True)
class ChangeLine:
    """A change as the record lists it, in words.

    `struck` says that its reading is struck out, `undone` by which change it was undone. Where it came in
    later than it was done, `taken_at` says when its reading was taken, or else `pressed_at` when it was made.
    """

    change: Change
    told: log.ChangeInWords
    struck: Struck | None
    undone: Change | None
    taken_at: str = ""
    pressed_at: str = ""

    @property
    def done(self) -> str:
        """When it was done, to the minute."""
        return self.taken_at or self.pressed_at or self.change.at

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
        """Whether it changed what is known of the work on a head, or which head it is, or mended a reading.

        A reading that is struck out did not.
        """
        if self.change.mended or self.change.unit:
            return True
        done = {"work", "stand", "lamp"} & set(changed_fields(self.change))
        return bool(done) and not (self.takes and self.struck)


_OPENINGS = TypeAdapter(list[Opening])


@dataclass(frozen=True, slots=True)
class HungChange:
    """A change of what is on a source, with its openings then: the work that hung `before`, and that does."""

    source: str
    openings: tuple[Opening, ...]
    before: Work | None
    after: Work | None


class RecordStore:
    """The records of the sets in `db`."""

    def __init__(self, db: Database) -> None:
        self._db = db

    def hung(self, set_id: int) -> list[HungChange]:
        """Return what was hung and taken down on a set, oldest first, but what was undone.

        Raises NotFound.
        """
        with self._db.read() as conn:
            rows.present_set(conn, set_id)
            found = history.hung_in(conn, set_id)
        return [
            HungChange(
                row["name"],
                tuple(_OPENINGS.validate_json(row["openings"] or "[]")),
                _hangs(row["was"]),
                _hangs(row["work"]),
            )
            for row in found
        ]

    def lines(
        self, set_id: int, most: int, source_id: int | None = None, gel: Callable[[str], str] = str
    ) -> list[ChangeLine]:
        """Return the newest changes of a set or one of its sources, each with its words.

        Those done last come first: what came in late stands where it was done.

        `gel` writes a gel's name. Raises NotFound.
        """
        with self._db.read() as conn:
            rows.present_set(conn, set_id)
            every = history.load_changes(conn, set_id, source_id)
            changes = every[: -most - 1 : -1]
            struck, undone = reading_rows.struck_in(conn, set_id), undone_by(every)
            told, late = log.words(conn, changes, gel), reading_rows.late_in(conn, set_id)
        return _in_order(
            [
                ChangeLine(c, t, struck.get(_about(c)), undone.get(c.id), _late(c, late), _pressed(c, late))
                for c, t in zip(changes, told, strict=True)
            ]
        )


def _hangs(work: str | None) -> Work | None:
    """Return work from its JSON, if it hangs."""
    read = Work.model_validate_json(work) if work else None
    return read if read and read.hangs else None


def _late(change: Change, late: Mapping[int, str]) -> str:
    """Return when the reading that a change took was taken, where it came in later; else nothing."""
    return "" if change.reading_id is not None else late.get(change.reading or 0, "")


def _pressed(change: Change, late: Mapping[int, str]) -> str:
    if _late(change, late) or not writes.came_late(change.done, change.at):
        return ""
    return change.done_at


def _in_order(lines: Sequence[ChangeLine]) -> list[ChangeLine]:
    """Put what came in late where it was done; all else stays as it came in, whatever the clock said."""
    placed = [line for line in lines if line.done == line.change.at]
    for line in reversed([line for line in lines if line.done != line.change.at]):
        index = next((k for k, other in enumerate(placed) if other.done <= line.done), len(placed))
        placed.insert(index, line)
    return placed


def _about(change: Change) -> int:
    """Return the reading that a change took, or that it mended; 0 where that is none, or several."""
    return change.reading or (change.mended[0][1] if len(change.mended) == 1 else 0)
