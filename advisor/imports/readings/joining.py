"""Which rows of a text are readings of one source, and names that keep the others apart."""

from dataclasses import dataclass, field
from typing import Any

from ...model import Kind, Problem, Source
from ...model.base import free_name, name_key
from ...model.problems import short
from .result import PastedRow
from .rows import Built
from .tags import same_tags, tagged


@dataclass
class _Group:
    """The rows of one source so far: its first line and name, and each row's line with what it says."""

    line: int
    name: str
    rows: list[tuple[int, Source]]
    part: int = 0


@dataclass
class Joining:
    """Tells row by row, in the order of the text, whether a row begins a source or goes on with one.

    Rows that the text gives one name are readings of one source where their tags tell them apart. A tagged
    row always joins, with a remark where another one stood alike: who notes how a source stood and reads it
    again has read it twice. Rows without tags are told apart as sources, "Window" and "Window (2)".
    """

    _names: set[str] = field(default_factory=set)
    _groups: dict[str, _Group] = field(default_factory=dict)

    def place(self, line: int, text: str, built: Built, part: int = 0) -> PastedRow:
        """Make the row on `line`, joined to its source; `part` counts the rows on that line."""
        source = built.source
        at = {"line": line, "part": part, "text": text, "time": built.time}
        if source is None:
            return PastedRow.model_validate({**at, "source": None, "problems": built.problems})
        key = name_key(source.name)
        group = self._groups.get(key) if built.named else None
        if group is not None and _belongs(source, group):
            remarks = [*built.problems, *_left_out(line, source, group)]
            group.rows.append((line, source))
            source = source.model_copy(update={"name": group.name})
            joins = {"joins": group.line, "joins_part": group.part}
            return _row(at, source, remarks, joins)
        source = self._named_apart(source)
        if built.named and group is None:
            self._groups[key] = _Group(line, source.name, [(line, source)], part)
        return _row(at, source, built.problems, {"named": built.named})

    def _named_apart(self, source: Source) -> Source:
        """Give a second source of the same name a number: "Window", "Window (2)"."""
        name = free_name(source.name, self._names)
        self._names.add(name_key(name))
        return source.model_copy(update={"name": name})


def _row(at: dict[str, Any], source: Source, problems: list[Problem], also: dict[str, Any]) -> PastedRow:
    # Not validated again: the reading of a row may be one behind gels, which no whole source begins with.
    return PastedRow.model_construct(
        **{"joins": None, "joins_part": 0, "named": True, **at, **also}, source=source, problems=problems
    )


def _belongs(source: Source, group: _Group) -> bool:
    return tagged(source.reading) or all(tagged(row.reading) for _, row in group.rows)


def _left_out(line: int, source: Source, group: _Group) -> list[Problem]:
    """Say which row stood alike, and what of this row gives way to an earlier one's."""
    where = f"line {line}"
    remarks = []
    twin = next((at for at, row in group.rows if same_tags(row.reading, source.reading)), None)
    if twin is not None:
        says = f"{group.name!r} stood alike on line {twin}; both readings are kept"
        allowed = "another dim level, modifier or dial, or one of the two"
        remarks.append(Problem(where=where, says=says, allowed=allowed))
    kind = next(((at, r.kind) for at, r in group.rows if r.kind is not Kind.UNKNOWN), None)
    if kind is not None and source.kind not in (Kind.UNKNOWN, kind[1]):
        says = f"kind {source.kind.value!r} is left out, line {kind[0]} says {kind[1].value!r}"
        remarks.append(Problem(where=where, says=says, allowed="one kind for a source"))
    note = next(((at, r.note) for at, r in group.rows if r.note), None)
    if note is not None and source.note not in ("", note[1]):
        says = f"the note {short(source.note)} is left out, that of line {note[0]} is kept"
        remarks.append(Problem(where=where, says=says, allowed="one note for a source"))
    return remarks
