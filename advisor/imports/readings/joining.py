"""Which rows of a text are readings of one source, and names that keep the others apart."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from statistics import fmean
from typing import Any

from ...model import Kind, Problem, Reading, Source
from ...model.basis.base import free_name, name_key, name_keys
from ...model.basis.problems import short
from ..sources.build import Built
from ..sources.tags import same_tags, tagged
from ..text.cells import Cell
from ..text.titles import is_another_time
from ..vocabulary.headings import Field
from .result import Answers, PastedRow, PasteQuestion, Reply

KEY = "repeats"
HEADINGS, SEVERAL, READ_AGAIN = "headings", "several", "again"
"""Key of the question whether a name under two titles is one light, and its answers."""
ALL, MEAN, NEWEST, APART = "all", "mean", "newest", "apart"
_FEW = 3
_NUMBERED = re.compile(r" \(\d+\)$")
_CHOICES = (
    Reply(value=ALL, words="Keep all"),
    Reply(value=NEWEST, words="The newest"),
    Reply(value=MEAN, words="The mean"),
    Reply(value=APART, words="They are several sources"),
)


@dataclass(frozen=True)
class BuiltRow:
    """A row of the text, with its number and text, its cells, and what was built of them.

    `part` counts the rows on that line, from 0.
    """

    line: int
    text: str
    built: Built
    cells: Mapping[Field, Cell]
    part: int = 0


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

    Rows of one name are readings of one source if their tags (level, modifier, dial) differ. A row with tags
    joins even if another row has the same tags; a remark says so, since the source was then read twice. Rows
    without tags are sources of their own, "Window" and "Window (2)", unless `repeats` says that all rows of a
    name belong to one source.
    """

    repeats: bool = False
    _names: set[str] = field(default_factory=set)
    _groups: dict[str, _Group] = field(default_factory=dict)

    def rows_of(self, rows: Sequence[BuiltRow]) -> list[PastedRow]:
        """Make rows of the text, each joined to its source."""
        keys = name_keys([row.built.source.name if row.built.source else "" for row in rows])
        return [self._row_of(row, key) for row, key in zip(rows, keys, strict=True)]

    def _row_of(self, row: BuiltRow, key: str) -> PastedRow:
        built, line, part = row.built, row.line, row.part
        source = built.source
        at = {"line": line, "part": part, "text": row.text, "time": built.time}
        if source is None:
            return PastedRow.model_validate({**at, "source": None, "problems": built.problems})
        group = self._groups.get(key) if built.named else None
        if group is not None and (self.repeats or _belongs(source, group)):
            remarks = [*built.problems, *_left_out(line, source, group)]
            group.rows.append((line, source))
            source = source.model_copy(update={"name": group.name})
            joins = {"joins": group.line, "joins_part": group.part}
            return _row(at, source, remarks, joins)
        source = self._named_apart(source, key)
        if built.named and group is None:
            self._groups[key] = _Group(line, source.name, [(line, source)], part)
        return _row(at, source, built.problems, {"named": built.named})

    def _named_apart(self, source: Source, key: str) -> Source:
        """Give a second source of the same name a number: "Window", "Window (2)"."""
        if key not in self._names:
            self._names.add(key)
            return source
        name = free_name(source.name, self._names)
        self._names.add(name_key(name))
        return source.model_copy(update={"name": name})


def _row(at: dict[str, Any], source: Source, problems: list[Problem], also: dict[str, Any]) -> PastedRow:
    # Not validated again: the reading of a row may be one behind gels, which no whole source begins with.
    return PastedRow.model_construct(
        **{"joins": None, "joins_part": 0, "named": True, "cells": [], **at, **also},
        source=source,
        problems=problems,
    )


def _belongs(source: Source, group: _Group) -> bool:
    return tagged(source.reading) or all(tagged(row.reading) for _, row in group.rows)


def _left_out(line: int, source: Source, group: _Group) -> list[Problem]:
    """Say which row stood alike, and what of this row gives way to an earlier one's."""
    where = f"line {line}"
    remarks = []
    twin = next((at for at, row in group.rows if same_tags(row.reading, source.reading)), None)
    if twin is not None:
        says = f"{group.name!r} has the same level, modifier and dials on line {twin}. Both are kept"
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


def answer_of(answers: Answers) -> str:
    """Return what was answered about names that come again, by the question about their titles too."""
    again = answers.get(HEADINGS) == READ_AGAIN
    return answers.get(KEY, ALL if again else "")


def titles_question(names: Sequence[str], titles: Sequence[str], answers: Answers) -> PasteQuestion:
    """Ask of `names` that stand under several `titles` whether they are the same lights."""
    shown = ", ".join(names[:_FEW]) + (" …" if len(names) > _FEW else "")
    under = " and ".join(f"“{title}”" if title else "no heading" for title in titles[:_FEW])
    several = "Several lights: " + ", ".join(f"{title} {names[0]}".strip() for title in titles[:_FEW])
    again = any(map(is_another_time, titles))
    ways = {SEVERAL: several, READ_AGAIN: "The same, read again"}
    likely = READ_AGAIN if again else SEVERAL
    return PasteQuestion.of(HEADINGS, f"{shown} under {under}", ways, answers, likely=likely)


def repeats_question(rows: Sequence[PastedRow], answers: Answers) -> PasteQuestion | None:
    """Ask what to do with names that stand in several rows; None where there are none.

    Unanswered, rows that say how the source stood are readings of one, and others are sources of their own.
    """
    groups: dict[str, list[PastedRow]] = {}
    named = [row for row in rows if row.source is not None and row.named]
    for row, key in zip(named, _names(named), strict=True):
        groups.setdefault(key, []).append(row)
    several = [group for group in groups.values() if len(group) > 1]
    if not several:
        return None
    names = ", ".join(_NUMBERED.sub("", group[0].source.name) for group in several[:5] if group[0].source)
    answer = answer_of(answers)
    return PasteQuestion(
        key=KEY,
        says=f"Read several times: {names}. Which readings count?",
        choices=list(_CHOICES),
        likely=ALL,
        answer=answer if answer in (ALL, MEAN, NEWEST, APART) else "",
        lines=[row.line for group in several for row in group],
        blocks=False,
    )


def _names(rows: Sequence[PastedRow]) -> list[str]:
    """Return what the names of rows that were understood have in common, without our numbers."""
    return name_keys([_NUMBERED.sub("", row.source.name) if row.source else "" for row in rows])


def settled(rows: Sequence[PastedRow], answer: str) -> list[PastedRow]:
    """Return the rows as the answer leaves them: all, or those that count of each source as it stood."""
    if answer not in (MEAN, NEWEST):
        return list(rows)
    out = [row for row in rows if row.source is None or not row.named]
    groups: dict[str, list[PastedRow]] = {}
    named = [row for row in rows if row.source is not None and row.named]
    for row, key in zip(named, _names(named), strict=True):
        groups.setdefault(key, []).append(row)
    for group in groups.values():
        out += _counting(group, answer)
    return sorted(out, key=lambda row: (row.line, row.part))


def _counting(group: Sequence[PastedRow], answer: str) -> list[PastedRow]:
    """Of rows of one source return one for each way in which it stood; the others join the first."""
    kinds: list[list[PastedRow]] = []
    for row in group:
        assert row.source is not None, "only rows that were understood are grouped"
        reading = row.source.reading
        alike = next((k for k in kinds if k[0].source and same_tags(k[0].source.reading, reading)), None)
        if alike is None:
            kinds.append([row])
        else:
            alike.append(row)
    kept = [k[-1] if answer == NEWEST else _mean(k) for k in kinds]
    first = kept[0]
    joins = {"joins": first.line, "joins_part": first.part}
    return [
        first.model_copy(update={"joins": None, "joins_part": 0}),
        *(row.model_copy(update=joins) for row in kept[1:]),
    ]


def _mean(rows: Sequence[PastedRow]) -> PastedRow:
    """Return the last row with the means of all, or as it is where the colour is given in several ways."""
    readings = [row.source.reading for row in rows if row.source]
    last = readings[-1]
    means: dict[str, object] = {}
    if all(r.cct is not None and r.duv is not None for r in readings):
        means["cct"] = 1e6 / fmean([1e6 / r.cct for r in readings if r.cct])
        means["duv"] = fmean([r.duv for r in readings if r.duv is not None])
        means["duv_assumed"] = any(r.duv_assumed for r in readings)
    elif all(r.xy is not None for r in readings):
        means["xy"] = tuple(fmean([r.xy[k] for r in readings if r.xy]) for k in (0, 1))
    if means and all(r.lux is not None for r in readings):
        means["lux"] = fmean([r.lux for r in readings if r.lux is not None])
    source = rows[-1].source
    assert source is not None, "only rows that were understood have a mean"
    mean: Reading = last.model_copy(update=means)
    return rows[-1].model_copy(update={"source": source.model_copy(update={"reading": mean})})
