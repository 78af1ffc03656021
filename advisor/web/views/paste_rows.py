"""The rows of a pasted text as their page prints them: those to be mended, and the sources that they make."""

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass, replace

from ...imports.readings.result import PastedRow
from ...imports.vocabulary.headings import Field
from ...model import Kind, Problem, Role
from ...model.sets.phrases import grouped, listed, stood_each
from ..pastes.choices import PasteChoices
from ..pastes.entries import Entry, TickedRow
from ..pastes.figures import figures_of_each
from ..pastes.looks import LookedRow
from ..wording.values import capitalize_first, gel, luxes, whites_said
from .choices import OfferedChoice

_LINE = 200
_NAME = 60
_LABELS = {Field.CCT: "CCT, K", Field.DUV: "Duv", Field.LUX: "Light, lx"}
_KINDS = [(kind.value, kind.words) for kind in Kind]


@dataclass(frozen=True)
class CellView:
    """A cell to be mended: its field, label and text, and what it likely means as a button."""

    field: str
    label: str
    text: str
    likely: OfferedChoice | None


@dataclass(frozen=True)
class MendView:
    """A row that was not understood: its name, its place, its text, what is wrong, the cells to be mended."""

    title: str
    where: str
    text: str
    problems: tuple[Problem, ...]
    cells: tuple[CellView, ...]


@dataclass(frozen=True)
class RowView:
    """A reading that was understood: its tick, its numbers, and the fields for them where they are shown."""

    field: str
    ticked: bool
    words: str
    notes: tuple[str, ...]
    figures: tuple[CellView, ...] = ()


@dataclass(frozen=True)
class EntryView:
    """A source: its name, its readings, and its fields where they are shown.

    `into` are the choices of one whose name is in the set. `opener` is the button's value that shows the
    fields, empty where they are shown or folded.
    """

    key: str
    name: str
    kind: str
    alone: bool
    rows: tuple[RowView, ...]
    notes: tuple[str, ...]
    problems: tuple[Problem, ...]
    into: tuple[OfferedChoice, ...]
    into_label: str
    into_note: str
    kinds: tuple[OfferedChoice, ...]
    name_field: str
    folded: bool
    opener: str


def mend_of(row: LookedRow) -> MendView:
    """Return a row that was not understood, with its cells; with its line where they cannot be told apart."""
    pasted = row.pasted
    cells = [
        CellView(
            field=f"is-{cell.key}",
            label=cell.heading,
            text=cell.text,
            likely=OfferedChoice(
                f"{cell.key}={cell.likely.value}", _means(cell.text, cell.likely.words), False
            )
            if cell.likely
            else None,
        )
        for cell in pasted.cells
    ]
    at = f"Line {pasted.line}"
    title, where = (pasted.called[:_NAME], at) if cells and pasted.called else (at, "")
    if not cells and "\n" not in pasted.text:
        cells = [CellView(f"is-line-{pasted.line}", at, pasted.text, None)]
    return MendView(title, where, pasted.text[:_LINE], tuple(row.problems), tuple(cells))


def _means(text: str, likely: str) -> str:
    """Say what a cell likely means: “56000: 5 600 K”."""
    return f"{text[:20]}: {likely}" if text else likely


def entries_shown(
    entries: Sequence[Entry], chosen: PasteChoices, hung: Collection[int], few: bool
) -> list[EntryView]:
    """Return the sources; fields are shown where sources are `few`, and where something is wrong with them.

    `hung` are the sources about which it is asked whether they were read behind what hangs.
    """
    shown = [few or entry.key in chosen.opened or _asks(entry, chosen) for entry in entries]
    rows = iter(_rows([row for entry in entries for row in entry.rows]))
    fields = iter(
        _fields([row for entry, own in zip(entries, shown, strict=True) if own for row in entry.rows])
    )
    views = []
    for entry, own in zip(entries, shown, strict=True):
        lines = [next(rows) for _ in entry.rows]
        if own:
            lines = [replace(line, figures=next(fields)) for line in lines]
        views.append(_entry(entry, lines, chosen, hung, shown=own))
    return views


def _kind_and_role(entry: Entry) -> str:
    """Say what lamp a new source is, and what it does in the shot, as far as that is said."""
    kind = "" if entry.kind == Kind.UNKNOWN else dict(_KINDS).get(entry.kind, "")
    role = entry.source.role if entry.source else Role.OTHER
    return ", ".join(part for part in (kind, "" if role is Role.OTHER else role.value) if part)


def _asks(entry: Entry, chosen: PasteChoices) -> bool:
    """Whether something is wrong with an entry, or nobody said what its spectrum is called."""
    return bool(entry.problems) or _unnamed(entry, chosen)


def _unnamed(entry: Entry, chosen: PasteChoices) -> bool:
    return entry.into is None and entry.rows[0].row.spectrum_unnamed and entry.key not in chosen.names


def _entry(
    entry: Entry, rows: Sequence[RowView], chosen: PasteChoices, hung: Collection[int], *, shown: bool
) -> EntryView:
    return EntryView(
        key=entry.key,
        name=entry.into.source.name if entry.into else entry.name,
        kind="" if entry.into else _kind_and_role(entry),
        alone=len(entry.rows) == 1,
        rows=tuple(rows),
        notes=tuple(_notes(entry, chosen)),
        problems=tuple(entry.problems),
        into=_into(entry),
        into_label="These readings are" if len(entry.rows) > 1 else "This reading is",
        into_note=_into_note(entry, hung),
        kinds=tuple(OfferedChoice(v, words, v == entry.kind) for v, words in _KINDS) if shown else (),
        name_field=entry.name,
        folded=not _asks(entry, chosen) and entry.key not in chosen.opened,
        opener="" if shown else entry.key,
    )


def _notes(entry: Entry, chosen: PasteChoices) -> Iterator[str]:
    if _unnamed(entry, chosen):
        yield "Nothing names this spectrum. Say below which light it is."
    yield from (f"Line {entry.rows[0].row.pasted.line}: {p.says}." for p in entry.remarks)


def _fields(rows: Sequence[TickedRow]) -> list[tuple[CellView, ...]]:
    """Return the fields for the figures of each row."""
    figures = figures_of_each([ticked.row for ticked in rows])
    return [tuple(CellView(f"is-{key}", _LABELS[f], text, None) for f, key, text in own) for own in figures]


def _into(entry: Entry) -> tuple[OfferedChoice, ...]:
    if entry.match is None:
        return ()
    there = OfferedChoice(
        str(entry.match.id), f"added to {entry.match.source.name}, in this set", entry.into is not None
    )
    return there, OfferedChoice("", "a new source", entry.into is None)


def _into_note(entry: Entry, hung: Collection[int]) -> str:
    if entry.into is None or entry.into.id not in hung:
        last = "the last one ticked" if len(entry.rows) > 1 else "it"
        return f"Added there, {last} becomes the reading that counts."
    work = entry.into.source.work
    gels = listed(grouped([gel(name) for name in (work.gels if work else ())]))
    return f"{capitalize_first(gels)} hangs on it: say above how it was read."


def _rows(rows: Sequence[TickedRow]) -> list[RowView]:
    """Say what was read: “5 480 K, Duv −0.0020, 410 lx · at 100 %, with softbox”."""
    whites = [row.row.white for row in rows]
    readings = [row.row.readings[-1] for row in rows]
    words = whites_said([(white.cct, white.duv) for white in whites if white is not None])
    light = iter(luxes([reading.lux for reading in readings if reading.lux]))
    views = []
    for row, reading, said, how in zip(rows, readings, words, stood_each(readings, gel), strict=True):
        said += ", not metered" if reading.duv_assumed else ""
        said += (f", {next(light)}" if reading.lux else "") + (", spectrum" if reading.spectrum else "")
        shown = " · ".join(part for part in (said, how, row.row.pasted.time) if part)
        views.append(RowView(f"use-{row.row.key}", row.use, shown, tuple(_remarks(row.row.pasted))))
    return views


def _remarks(pasted: PastedRow) -> list[str]:
    return [f"Line {pasted.line}: {problem.says}." for problem in pasted.problems]
