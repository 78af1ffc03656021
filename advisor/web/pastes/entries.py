"""The sources that the rows of a paste make: new ones, or readings for one that the set has already."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from ...imports.readings.result import joined
from ...model import Kind, Problem, Reading, Refused, Role, Source
from ...model.basis.base import free_name, name_key, name_keys
from ...model.basis.problems import short
from ...model.sets.lightset import MAX_SOURCES
from ...model.sets.phrases import counted, dial_said
from ...store.tables.names import refuse_taken
from ...store.tables.records import StoredSource
from ..forms.form import make
from ..plans.behind import at_dials, dials_set
from .choices import PasteChoices
from .looks import Look, LookedRow


@dataclass(frozen=True)
class TickedRow:
    """A row that was understood. `use` is its tick; `shown` tells whether the page showed it as it now is."""

    row: LookedRow
    use: bool
    shown: bool

    @property
    def source(self) -> Source:
        """The source with its reading."""
        assert self.row.pasted.source is not None, "it was understood"
        return self.row.pasted.source


@dataclass(frozen=True)
class Entry:
    """The rows of one source, all understood, with what was chosen about it.

    `key` is that of the first row, and the names of the entry's form fields end in it. `match` is the source
    of the set that has the same name. `into` is that source if the rows are to be added to it. If not,
    `source` is the new source to be saved, or None where it cannot be saved, and `problems` says why.
    """

    key: str
    rows: Sequence[TickedRow]
    name: str
    kind: str
    match: StoredSource | None
    into: StoredSource | None
    source: Source | None
    remarks: Sequence[Problem] = ()
    problems: Sequence[Problem] = ()

    @property
    def used(self) -> list[TickedRow]:
        """The rows that are ticked."""
        return [row for row in self.rows if row.use]

    @property
    def readings(self) -> list[Reading]:
        """The readings of the rows that are ticked, in the order of the text."""
        return [reading for row in self.used for reading in row.row.readings]


def _ticked_rows(
    look: Look, before: Look | None, form: Mapping[str, str], saved: Sequence[str]
) -> list[TickedRow]:
    """Return the rows that were understood and are not saved yet, each with its tick.

    A row that the page did not show before, or showed with another text, is ticked.
    """
    known = before.by_key if before else {}
    out = []
    for row in look.rows:
        if row.white is None or row.mark in saved:
            continue
        old = known.get(row.key)
        offered = old is not None and old.white is not None and old.pasted.text == row.pasted.text
        shown = offered and old is not None and (old is row or old.pasted.source == row.pasted.source)
        out.append(TickedRow(row, not offered or f"use-{row.key}" in form, shown))
    return out


def typed_in(chosen: PasteChoices, before: Look | None, form: Mapping[str, str]) -> PasteChoices:
    """Add the names and kinds that were typed on the page that showed `before`.

    A name that we proposed and nobody changed does not count as typed.
    """
    if before is None:
        return chosen
    names, kinds = dict(chosen.names), dict(chosen.kinds)
    for row in before.rows:
        key, source = row.key, row.pasted.source
        if source is None:
            continue
        if (name := form.get(f"name-{key}")) is not None:
            names.pop(key, None)
            if not _proposed(name, source.name):
                names[key] = name[:1000]
        if (kind := form.get(f"kind-{key}")) is not None:
            kinds[key] = kind[:40]
    return PasteChoices(chosen.answers, names, kinds, chosen.opened, chosen.saved)


def _proposed(name: str, said: str) -> bool:
    """Whether a name is what we propose for what the text says: “Window” or “Window (2)”."""
    return name == said or (name.startswith(said) and bool(re.fullmatch(r" \(\d{1,4}\)", name[len(said) :])))


def entries_of(
    look: Look,
    before: Look | None,
    chosen: PasteChoices,
    present: Sequence[StoredSource],
    form: Mapping[str, str],
) -> list[Entry]:
    """Return the entries of the rows that are not saved yet, one for each source that they tell of.

    With ``untick`` in the form, the last new sources lose their ticks, until the others fit into the set.
    `before` is what the page showed, `present` are the sources of the set.
    """
    entries = _entries(_ticked_rows(look, before, form, chosen.saved), present, chosen, form)
    if "untick" not in form:
        return entries
    return _entries(_without_last(entries, over(entries, len(present))), present, chosen, form)


def _entries(
    rows: Sequence[TickedRow], present: Sequence[StoredSource], chosen: PasteChoices, form: Mapping[str, str]
) -> list[Entry]:
    """Put rows together by their sources, in the order of the text."""
    groups: dict[tuple[int, int], list[TickedRow]] = {}
    for row in rows:
        groups.setdefault(row.row.of, []).append(row)
    pasted = [_pasted(group) for group in groups.values()]
    keys = name_keys([source.name for source in [*(stored.source for stored in present), *pasted]])
    by_name = dict(zip(keys[: len(present)], present, strict=True))
    taken, own = set(by_name), keys[len(present) :]
    each = zip(groups.values(), pasted, own, strict=True)
    return [_entry(rows, source, key, by_name, taken, chosen, form) for rows, source, key in each]


def _pasted(rows: Sequence[TickedRow]) -> Source:
    """Return the source that the ticked rows make, or that all rows make if none is ticked."""
    said = [row.source for row in [row for row in rows if row.use] or rows]
    return said[0] if len(said) == 1 and not said[0].readings else joined(said)


def _entry(
    rows: Sequence[TickedRow],
    pasted: Source,
    own: str,
    present: Mapping[str, StoredSource],
    taken: set[str],
    chosen: PasteChoices,
    form: Mapping[str, str],
) -> Entry:
    """Return the entry of some rows of one source, with what was chosen about it applied and checked.

    `pasted` is the source that the rows make, and `own` the key of its name. `present` are the sources of the
    set, by the keys of their names. `taken` are the keys of all names in use; that of a new source is added.
    """
    key, used = rows[0].row.key, any(row.use for row in rows)
    match = present.get(own)
    # A text that names a source of the set holds more readings of it; a name that we made up tells nothing.
    usual = str(match.id) if match and rows[0].row.pasted.named else ""
    where = form.get(f"into-{key}", usual) if rows[0].shown else usual
    kind = chosen.kinds.get(key, pasted.kind.value)
    typed = chosen.names.get(key)
    name = typed if typed is not None else pasted.name if own not in taken else free_name(pasted.name, taken)
    if where and match and where == str(match.id):
        return Entry(key, rows, name, kind, match, match, None, _left_out(pasted, match.source))
    remarks: list[Problem] = []
    if typed is None and name != pasted.name and not rows[0].shown:
        says = f"there is a source called {pasted.name!r} in this set already, so this is {name!r}"
        remarks.append(Problem(where="name", says=says, allowed="another name"))
    source, problems = None, list[Problem]()
    try:
        if where:
            says = f"the source for the reading of {pasted.name!r} is gone"
            raise Refused.one("name", says, "make it a new source")
        source = _named(pasted, name, kind)
        if used and typed is not None:  # a name that we proposed is free
            refuse_taken([("name", source)], taken)
        if used:
            taken.add(own if name == pasted.name else name_key(name))
    except Refused as no:
        source, problems = None, no.problems
    return Entry(key, rows, name, kind, match, None, source, remarks, problems)


def _named(pasted: Source, name: str, kind: str) -> Source:
    """Return a pasted source with a name and a kind, checked if either is another. Raises Refused."""
    if (name, kind) == (pasted.name, pasted.kind.value):
        return pasted
    return make(Source, {**dict(pasted), "name": name, "kind": kind})


def _left_out(pasted: Source, present: Source) -> list[Problem]:
    """Say which words of the text are left out where its readings go to a source of the set."""
    remarks = []
    if pasted.note not in ("", present.note):
        says = f"the note {short(pasted.note)} is not added to {present.name!r}"
        remarks.append(Problem(where="note", says=says, allowed="the note that it has"))
    if pasted.kind not in (Kind.UNKNOWN, present.kind):
        says = f"kind {pasted.kind.value!r} is left out, {present.name!r} is {present.kind.value!r}"
        remarks.append(Problem(where="kind", says=says, allowed="the kind that it has"))
    if pasted.role not in (Role.OTHER, present.role):
        says = f"role {pasted.role.value!r} is left out, {present.name!r} is {present.role.value!r}"
        remarks.append(Problem(where="role", says=says, allowed="the role that it has"))
    dial = dials_set(present)
    if dial is not None and pasted.reading.dial is None:
        says = f"taken with {present.name!r} as it is set, dials at {dial_said(dial)}"
        remarks.append(Problem(where="dial", says=says, allowed="a column for its dial"))
    return remarks


def over(entries: Sequence[Entry], present: int) -> int:
    """Return by how many the ticked new sources exceed the room of a set that holds `present` sources."""
    return max(0, len(_new(entries)) - max(0, MAX_SOURCES - present))


def over_said(entries: Sequence[Entry], present: int) -> Problem:
    """Say, before anything is saved, that a set has no room for all ticked new sources."""
    room = max(0, MAX_SOURCES - present)
    says = f"{counted(len(_new(entries)), 'new source')}, but this set has room for {room}"
    return Problem(where="sources", says=says, allowed=f"{MAX_SOURCES} sources in a set")


def _without_last(entries: Sequence[Entry], count: int) -> list[TickedRow]:
    """Return all rows, those of the last `count` new sources without their ticks."""
    gone = {entry.key for entry in _new(entries)[-count:]} if count > 0 else set()
    return [replace(row, use=row.use and entry.key not in gone) for entry in entries for row in entry.rows]


def _new(entries: Sequence[Entry]) -> list[Entry]:
    return [entry for entry in entries if entry.used and entry.into is None]


def chosen_of(entries: Sequence[Entry]) -> tuple[list[Source], dict[int, list[Reading]]]:
    """Return the ticked new sources, and the ticked readings for sources of the set, by the source's id.

    Raises Refused where they cannot be saved yet.
    """
    used = [entry for entry in entries if entry.used]
    if any(not row.shown for entry in used for row in entry.used):
        says = "This is not what the page showed, so nothing is saved yet"
        raise Refused.one("", says, "look at the rows as they are now, then save")
    if not used:
        raise Refused.one("", "No row is ticked", "one row or more")
    if any(entry.source is None and entry.into is None for entry in used):
        raise Refused.one("", "Nothing is saved yet", "fix the rows that say what is wrong, or untick them")
    further: dict[int, list[Reading]] = {}
    for entry in used:
        if entry.into is not None:
            read = [at_dials(reading, entry.into.source) for reading in entry.readings]
            further.setdefault(entry.into.id, []).extend(read)
    return [entry.source for entry in used if entry.source is not None], further


def in_order_of_text(entries: Sequence[Entry]) -> list[list[Reading]]:
    """Return the ticked readings of each new source, in the order of the text."""
    return [entry.readings for entry in entries if entry.used and entry.source is not None]
