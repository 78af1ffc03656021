"""What was read of a pasted text: looking and saving share it, so that a text is read once."""

import threading
import time
from collections import OrderedDict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from hashlib import sha256
from typing import cast

from flask import current_app

from ...advice.readings.chromaticity import WhitePoint, measure_each
from ...imports import Paste, PastedRow, read_anything
from ...imports.gels.asked_names import NamesInTable
from ...imports.readings.answers import about_shape
from ...imports.readings.result import Sure, Understood, keys_of
from ...imports.readings.too_many import about_first
from ...imports.text.decode import characters
from ...model import Problem, Reading, Refused
from ...model.sets.reading import that_say
from ..access.sessions import person
from ..live.aside import read_apart
from ..state import gels_in_force, state
from .choices import lasting

MOST_LOOKS = 24
"""The most that is kept of all phones together."""
MOST_OF_ONE = 4
"""The most that is kept of one phone."""
OLDEST_LOOK = 3 * 3600.0
"""What was not used for so long is dropped. [s]"""
SHORT, FEW_LINES = 4000, 60
"""A text of no more than both is read at once; others are read aside. [sign, line]"""
_SHAPED = 200
"""So many lines of a text that could not be read are enough to ask about its shape."""
_EXTENSION = "pastes"


@dataclass(frozen=True)
class LookedRow:
    """A row of a text as it was read.

    `white` is None if it was not understood; `problems` then says why. `key` is its name in forms, `of` is
    where the first row of its source stands. `mark` is a short hash of the row: another row in its place,
    after the text was changed, has another one. `readings` has one reading, or two if the row gives one bare
    and one behind gel. It is `spectrum_unnamed` if it is a spectrum of which the text does not say of what.
    """

    pasted: PastedRow
    key: str
    of: tuple[int, int]
    mark: str
    white: WhitePoint | None
    problems: Sequence[Problem]
    readings: Sequence[Reading] = ()
    spectrum_unnamed: bool = False


@dataclass(frozen=True, eq=False)
class Look:
    """What was read of a text by some `answers`; `key` names both.

    `layout` are its headings as they stand before any answer: answers are remembered by them. `recalled` says
    whether the answers were remembered ones. A text that could not be read has no rows; `refused` says why.
    """

    key: str
    text: str
    answers: Mapping[str, str]
    paste: Paste
    rows: Sequence[LookedRow]
    layout: tuple[str, ...]
    refused: Sequence[Problem] = ()
    recalled: bool = False

    @property
    def by_key(self) -> dict[str, LookedRow]:
        """The rows by their keys."""
        return {row.key: row for row in self.rows}


class KeptLooks:
    """What was read last, by phone: a few for each, for a few hours, gone with the server."""

    def __init__(self) -> None:
        self._kept: OrderedDict[tuple[int | None, str], tuple[float, Look]] = OrderedDict()
        self._lock = threading.Lock()

    def find(self, phone: int | None, key: str) -> Look | None:
        """Return what a phone read; None where that is gone."""
        with self._lock:
            self._drop_old()
            found = self._kept.pop((phone, key), None)
            if found is None:
                return None
            self._kept[phone, key] = (time.monotonic(), found[1])
            return found[1]

    def keep(self, phone: int | None, look: Look) -> None:
        """Keep what a phone read, in place of what is too much."""
        with self._lock:
            self._kept.pop((phone, look.key), None)
            self._kept[phone, look.key] = (time.monotonic(), look)
            own = [name for name in self._kept if name[0] == phone]
            for name in own[:-MOST_OF_ONE]:
                del self._kept[name]
            while len(self._kept) > MOST_LOOKS:
                self._kept.popitem(last=False)
            self._drop_old()

    def _drop_old(self) -> None:
        oldest = time.monotonic() - OLDEST_LOOK
        for name in [name for name, (at, _) in self._kept.items() if at < oldest]:
            del self._kept[name]


def _looks() -> KeptLooks:
    return cast(KeptLooks, current_app.extensions.setdefault(_EXTENSION, KeptLooks()))


def look_key(text: str, answers: Mapping[str, str]) -> str:
    """Name a text as it is read by some answers."""
    said = "\0".join(f"{k}={answers[k]}" for k in sorted(answers))
    return sha256(f"{text}\0{said}".encode("utf-8", "replace")).hexdigest()[:32]


def kept_look(key: str) -> Look | None:
    """Return what this phone read under a key; None where it is gone."""
    return _looks().find(person().phone_id, key) if key else None


def look_at(text: str, answers: Mapping[str, str], layout: tuple[str, ...] | None = None) -> Look:
    """Read a text by some answers; what was read of it before is taken as it was, while it is kept.

    `layout` are the headings that it has by itself, where they are known.
    """
    key, phone, kept = look_key(text, answers), person().phone_id, _looks()
    if (found := kept.find(phone, key)) is not None:
        return found
    try:
        paste = _named(_read(text, answers))
    except Refused as no:
        shape = [*about_first(no.problems, answers), *about_shape(text.split("\n", _SHAPED), None, answers)]
        paste = Paste(rows=[], columns=[], ignored=[], shape=shape if text.strip() else [])
        look = Look(key, text, dict(answers), paste, [], layout or _first_line(text), no.problems)
    else:
        layout = layout_of(paste) if layout is None else layout
        look = Look(key, text, dict(answers), paste, _looked(paste.rows), layout)
    kept.keep(phone, look)
    return look


def _read(text: str, answers: Mapping[str, str]) -> Paste:
    if len(text) <= SHORT and text.count("\n") <= FEW_LINES:
        return read_anything(text, answers)
    characters(text, where="text")  # what is too much is refused at once
    said = [text, *(f"{key}={answers[key]}" for key in sorted(answers))]
    return read_apart(said, read_anything, text, dict(answers), fields={"text": text})


def _named(paste: Paste) -> Paste:
    """Return a paste whose rows name gels as the table in force does."""
    if not any(
        row.source and any(r.gels for r in (row.source.reading, *row.source.readings)) for row in paste.rows
    ):
        return paste
    names = NamesInTable(gels_in_force())
    rows = [
        row.model_copy(update={"source": names.of_source(row.source)}) if row.source else row
        for row in paste.rows
    ]
    return paste.model_copy(update={"rows": rows})


def look_anew(text: str, before: Look | None) -> Look:
    """Read a text of which nothing was chosen yet.

    What was said `before` of a text with the same headings is taken over; else what is remembered of them.
    """
    plain = look_at(text, {})
    if before is not None and before.layout == plain.layout:
        said, recalled = _lasting(before), before.recalled
    else:
        said, recalled = state().layouts.load(plain.layout), True
    if not said:
        return plain
    look = look_at(text, said, plain.layout)
    return plain if look.refused else replace(look, recalled=recalled)


def remember(look: Look) -> None:
    """Keep what was said about the columns of a text, to be proposed where its headings come again.

    What was only likely, and was saved so, counts as said.
    """
    likely = {c.key: c.field for c in look.paste.columns if c.sure is Sure.LIKELY and c.key and c.field}
    said = likely | _lasting(look)
    if look.layout and said != state().layouts.load(look.layout):
        state().layouts.save(look.layout, said)


def _lasting(look: Look) -> dict[str, str]:
    """Return what was said that holds for every text with these headings."""
    return lasting(look.answers, [question.key for question in look.paste.asked if question.lasting])


def layout_of(paste: Paste) -> tuple[str, ...]:
    """Return the headings of a text as they are compared: in their order, whatever their case and spaces."""
    columns = [*paste.columns, *paste.unused]
    keyed = sorted((column for column in columns if _at(column.key)), key=lambda column: _at(column.key))
    rest = [column for column in columns if not _at(column.key)]
    return tuple(" ".join(column.heading.casefold().split()) for column in [*keyed, *rest])


def in_order(paste: Paste) -> list[Understood]:
    """Return the columns of a text, those too that are not used, in their order; first what is none."""
    return sorted([*paste.columns, *paste.unused], key=lambda column: _at(column.key))


def _at(key: str) -> tuple[int, ...]:
    """Return the index of a column by its key; empty where it has none."""
    return tuple(int(part) for part in key.split("-") if part.isascii() and part.isdigit())


def _first_line(text: str) -> tuple[str, ...]:
    """Return what stands for the headings of a text in which none were found: its first line."""
    line = next(iter(text.lstrip()[:1000].splitlines()), "")
    return ("first line", " ".join(line.casefold().split()))


def _looked(rows: Sequence[PastedRow]) -> list[LookedRow]:
    """Check rows further than their numbers: whether their readings are whites."""
    sources = [row.source for row in rows]
    every = [[*source.readings, source.reading] if source else [] for source in sources]
    told = that_say(every)
    whites = iter(measure_each([readings[-1] for readings in told if readings]))
    out = []
    for row, (key, of), readings in zip(rows, keys_of(rows), told, strict=True):
        mark = sha256(f"{key}\0{row.text}".encode("utf-8", "replace")).hexdigest()[:10]
        white = next(whites) if readings else None
        if isinstance(white, Refused):
            out.append(LookedRow(row, key, of, mark, None, [*row.problems, *white.problems]))
        else:
            unnamed = row.source is not None and row.source.reading.spectrum is not None and not row.named
            out.append(LookedRow(row, key, of, mark, white, row.problems, readings, unnamed))
    return out
