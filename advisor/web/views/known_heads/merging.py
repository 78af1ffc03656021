"""Heads that come in from a file: what each would change here, in words, before anything does."""

from collections.abc import Sequence
from dataclasses import dataclass
from hashlib import sha256

from ....model import Kind, Problem, Reach
from ....model.basis.fields import field_label
from ....model.sets.phrases import counted
from ....store.known_heads.known import StoredHead
from ....store.known_heads.merge import FieldMerge, HeadMerge
from ...pastes.long_texts import ShownText, shown_text
from ...wording.values import kelvin, when_said


@dataclass(frozen=True)
class MergedHead:
    """A head of the file, and what it changes here, a line each."""

    name: str
    said: tuple[str, ...]


@dataclass(frozen=True)
class MergePage:
    """The form, or what a file would change.

    `same` says how many of its heads are here as they are in it, `looked_at` what was seen of the rest.
    `gone` are those of its heads that were removed here, to be brought back where nothing else is to be done.
    """

    heading: str
    text: ShownText
    heads: tuple[MergedHead, ...] = ()
    same: str = ""
    looked_at: str = ""
    again: bool = False
    gone: tuple[StoredHead, ...] = ()


def empty_page(text: str = "", problems: Sequence[Problem] = ()) -> MergePage:
    """Return the form, with what was wrong with a file."""
    if problems:
        heading = f"Not imported: {counted(len(problems), 'thing')} to fix"
        return MergePage(heading, shown_text(text, problems))
    return MergePage("Import heads from a file", shown_text(text))


def merge_page(text: str, merges: Sequence[HeadMerge], looked_at: str) -> MergePage:
    """Return what a file would change; `looked_at` is what was seen of it when somebody said so, or empty."""
    heads = tuple(MergedHead(one.filed.head.name, said_of(one)) for one in merges if said_of(one))
    changing = [one for one in merges if one.changes]
    gone = tuple(one.into for one in merges if one.into and one.into.deleted)
    same = len(merges) - len(heads)
    seen = seen_of(merges)
    return MergePage(
        heading=_heading(changing, len(gone)),
        text=shown_text(text),
        heads=heads,
        same=f"{counted(same, 'head')} of the file: nothing new." if same and changing else "",
        looked_at=seen if changing else "",
        again=bool(looked_at) and looked_at != seen,
        gone=gone,
    )


def seen_of(merges: Sequence[HeadMerge]) -> str:
    """Return what tells one preview from another."""
    told = [(m.into and (m.into.id, m.into.revision), m.fields, m.tests) for m in merges]
    return sha256(repr(told).encode("utf-8", "replace")).hexdigest()[:24]


def _heading(changing: Sequence[HeadMerge], gone: int) -> str:
    if not changing:
        return f"{counted(gone, 'head')} of it removed here" if gone else "Nothing in it is new"
    new = sum(one.into is None for one in changing)
    parts = [f"{counted(new, 'new head')}"] if new else []
    if more := len(changing) - new:
        parts.append(f"{counted(more, 'head')} to change")
    return ", ".join(parts)


def said_of(one: HeadMerge) -> tuple[str, ...]:
    """Say what a head of a file changes here; nothing where it is here as it is there."""
    tests = [t for t in one.tests if t.into is None]
    readings = sum(len(t.readings) for t in one.tests)
    added = [counted(len(tests), "test")] if tests else []
    added += [counted(readings, "reading")] if readings else []
    if one.into is None:
        return (", ".join(["New", *added]),)
    lines = [f"Added to it: {', '.join(added)}"] if added else []
    if struck := sum(len(t.struck) for t in one.tests):
        lines.append(f"{counted(struck, 'reading')} struck out, as in the file")
    lines += [_field(f) for f in one.fields]
    if one.into.deleted:
        lines.append("Removed here. It stays under removed heads")
    elif lines and one.into.head.name != one.filed.head.name:
        lines.insert(0, f"The same as {one.into.head.name} here")
    return tuple(lines)


def _field(field: FieldMerge) -> str:
    label, ours, theirs = field_label(field.name), _value(field.ours), _value(field.theirs)
    when = f", changed {when_said(field.at)}" if field.at else ""
    if field.taken:
        return f"{label}: {theirs}, not {ours}{when}"
    return f"{label} stays {ours}, not {theirs}{when}"


def _value(value: object) -> str:
    if isinstance(value, Kind):
        return value.words
    if isinstance(value, Reach):
        return f"{kelvin(value.cct_from)} to {kelvin(value.cct_to)}"
    if isinstance(value, float | int):
        return kelvin(value)
    return f"“{value}”" if value else "empty"
