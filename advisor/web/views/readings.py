"""The readings of one head: a line each, what a new one was read behind, and those that can be struck out."""

from collections.abc import Sequence
from dataclasses import dataclass

from markupsafe import Markup

from ...advice.plan.head import PlannedSource
from ...model import Problem, Reading, Stage, Work
from ...model.phrases import grouped, listed
from ...store.tables.records import StoredReading, StoredSource, Struck
from ..forms.form import Form
from ..wording.sources import stood
from ..wording.values import duv, gel, kelvin, when, when_late

_FIELDS = (
    *("cct", "duv", "lux", "level", "modifier", "dial_cct", "dial_green"),
    *("ra", "r9", "rf", "rg", "ssi", "ssi_reference"),
)
_USED = ("use_level", "use_modifier")


@dataclass(frozen=True)
class ReadingRow:
    """A line of the readings: when and by whom, how the source stood, and its figures in words."""

    id: int
    taken: Markup
    beside: str
    colour: tuple[str, str]
    lux: float | None
    struck: Struck | None


@dataclass(frozen=True)
class ReadingsView:
    """The readings of a head, the newest first, with how many of them were struck out.

    `many` tells that there is more than one to see; `newest_struck` is the last bare one where none counts.
    """

    rows: tuple[ReadingRow, ...]
    struck: int
    many: bool
    newest_struck: StoredReading | None
    behind_check: StoredReading | None


@dataclass(frozen=True)
class NewReadingView:
    """The form of a new reading: `open` where something in it is wrong, with what stands `elsewhere`.

    `behind` is what it may have been read behind, as values and words: empty where nothing hangs, and
    `chosen` of it. `hung` is what hangs, as the form sends it. `asked` tells that one is to be chosen anew.
    """

    open: bool
    elsewhere: tuple[Problem, ...]
    behind: tuple[tuple[str, str], ...]
    chosen: str | None
    hangs: bool
    hung: str
    asked: bool


def readings_view(head: PlannedSource, now: StoredSource, readings: Sequence[StoredReading]) -> ReadingsView:
    """Return the readings of a stored source, those struck out too, as its page shows them."""
    struck = sum(1 for kept in readings if kept.struck)
    bare = [kept for kept in readings if not kept.reading.gels]
    check, behind = head.check, now.behind
    return ReadingsView(
        rows=tuple(_row(kept) for kept in reversed(readings)),
        struck=struck,
        many=len(readings) > 1 or struck > 0,
        newest_struck=bare[-1] if bare and not now.source.reading.said else None,
        behind_check=behind if check and behind and behind.reading == check.reading else None,
    )


def new_reading_view(form: Form, head: PlannedSource, work: Work | None) -> NewReadingView:
    """Return what the form of a new reading offers, of a head on which `work` was done."""
    asked = bool(form.wrong("behind"))
    hangs = head.stage in (Stage.HUNG, Stage.CONFIRMED)
    gels = work.gels if work else []
    behind = [("", "choose")] if asked else []
    if hangs:
        behind.append(("hung", f"behind {listed(grouped(gel(n) for n in gels))}" if gels else "as it stands"))
    return NewReadingView(
        open=len(form.elsewhere([*_FIELDS, "behind"])) < len(form.problems),
        elsewhere=tuple(form.elsewhere([*_FIELDS, *_USED])),
        behind=(*behind, ("bare", "bare, nothing on it")) if behind else (),
        chosen=None if asked or form.value("behind") != "bare" else "bare",
        hangs=hangs,
        hung="; ".join(gels),
        asked=asked,
    )


def _row(kept: StoredReading) -> ReadingRow:
    reading = kept.reading
    who, how = (f", {kept.who}" if kept.who else ""), stood(reading)
    taken = when_late(kept.taken_at, kept.sent_at) if kept.sent_at else when(kept.taken_at)
    return ReadingRow(
        kept.id, taken, f"{who} · {how}" if how else who, _colour(reading), reading.lux, kept.struck
    )


def _colour(reading: Reading) -> tuple[str, str]:
    """Return what was read of the colour, in two columns."""
    if reading.spectrum:
        return "spectrum", ""
    if reading.xy:
        return f"x {reading.xy[0]}", f"y {reading.xy[1]}"
    return kelvin(reading.cct), duv(reading.duv)
