"""The readings of one head: a line each, and the form in which one is mended."""

from collections.abc import Sequence
from dataclasses import dataclass

from markupsafe import Markup

from ...advice.plan.head import PlannedSource
from ...model import Gel, Problem, Reading, Spectrum
from ...model.sets.behind import same_but_level
from ...model.sets.phrases import counted
from ...store.sets.log import was_words
from ...store.tables.records import StoredReading, StoredSource, Struck
from ...store.tables.writes import age_of
from ..forms.form import Form
from ..forms.source_form import READING
from ..wording.sources import read_said, stood
from ..wording.values import (
    capitalize_first,
    duv,
    gel,
    hour,
    kelvin,
    plain,
    when,
    when_between,
    when_late,
    when_said,
)
from ..wording.work import LEFT_OUT
from .layers import LayersView, layers_read
from .odd_reading import BURNT


@dataclass(frozen=True)
class ReadingRow:
    """A line of the readings: when and by whom, how the source stood, and its figures in words.

    `was` says what it was before it was mended, or that its gel was checked, which `mended` says when and by
    whom. `waits` says why it counts for nothing yet.
    """

    id: int
    taken: Markup
    beside: str
    colour: tuple[str, str]
    lux: float | None
    struck: Struck | None
    was: str
    mended: Struck | None
    waits: str


@dataclass(frozen=True)
class ReadingsView:
    """The readings of a head, the newest first, with how many were struck out, and how many `fixed`.

    `taken` counts them, one that was fixed once: its row as it was first stands beside it.
    `behind_check` is the one behind what hangs that was checked, `earlier_check` the one before that may have
    the wrong sign, `bare_check` the bare one that counts.
    `many` tells that there is more than one to see; `newest_struck` is the last bare one where none counts.
    `waiting` says of those that count for nothing yet how many they are, where the page asks of none of them.
    """

    rows: tuple[ReadingRow, ...]
    taken: int
    struck: int
    fixed: int
    many: bool
    newest_struck: StoredReading | None
    behind_check: StoredReading | None
    earlier_check: StoredReading | None
    bare_check: StoredReading | None
    waiting: str


@dataclass(frozen=True)
class MendedReadingView:
    """The form of a reading that is mended.

    `was` says what it is on record, `elsewhere` is what is wrong beside none of its fields, and `spectrum`
    tells that a spectrum stays unless a colour is typed. `first` says who mended it or struck it out since
    it was shown, None where nobody did, and when; it is `gone` where it was struck out. `over` is what stands
    there now, by its id, once a person saw that.
    """

    was: str
    stored: StoredReading
    elsewhere: tuple[Problem, ...]
    layers: LayersView
    spectrum: bool
    first: Struck | None
    gone: bool
    over: str


def readings_view(head: PlannedSource, now: StoredSource, readings: Sequence[StoredReading]) -> ReadingsView:
    """Return the readings of a stored source, those struck out too, as its page shows them."""
    mends = {kept.struck.by: kept for kept in readings if kept.struck and kept.struck.by}
    # Where somebody only looked what hung, there is nothing to see of the one before.
    seen = [kept for kept in readings if not (kept.struck and _looked(kept, readings))]
    struck = sum(1 for kept in seen if kept.struck)
    fixed = sum(1 for kept in seen if kept.struck and kept.struck.by)
    bare = [kept for kept in readings if not kept.reading.gels]
    check, behind = head.check, now.behind
    return ReadingsView(
        rows=tuple(_row(kept, mends.get(kept.id), head.left_out) for kept in reversed(seen)),
        taken=len(seen) - fixed,
        struck=struck - fixed,
        fixed=fixed,
        many=len(seen) > 1 or struck > 0,
        newest_struck=bare[-1] if bare and bare[-1].struck and not now.source.reading.said else None,
        behind_check=behind if check and behind and behind.reading == check.reading else None,
        earlier_check=_earlier(head, readings),
        bare_check=next((kept for kept in reversed(bare) if kept.counts), None),
        waiting=_waiting(head),
    )


def _earlier(head: PlannedSource, readings: Sequence[StoredReading]) -> StoredReading | None:
    """Return the reading that may have the wrong sign, beside the last one behind what hangs."""
    other = head.check.other_sign if head.check else None
    alike = (kept for kept in reversed(readings) if other and kept.counts)
    return next((kept for kept in alike if other and same_but_level(kept.reading, other)), None)


_LATELY = 900.0
"""What was read bare no longer before it was read behind gel tells of the same light. [s] Our judgement."""


def bare_since(now: StoredSource, readings: Sequence[StoredReading], hung_at: str) -> bool:
    """Whether a source was read bare after it was read behind what hangs since `hung_at`, or just before.

    What was read bare before it was hung says nothing: it was predicted from that.
    """
    bare = [kept.taken_at for kept in readings if kept.counts and not kept.reading.gels]
    if not now.behind or not bare:
        return False
    last, behind = max(bare), now.behind.taken_at
    return last > behind or bool(hung_at and last > hung_at and age_of(last, behind) <= _LATELY)


def _waiting(head: PlannedSource) -> str:
    """Say how many readings wait for somebody to say which gel it was; empty where the page asks of them."""
    if not head.left_out or (head.check and head.check.waits):
        return ""
    return f"{counted(len(head.left_out), 'reading')} left out until the gel is checked."


def _looked(kept: StoredReading, readings: Sequence[StoredReading]) -> bool:
    """Whether a reading was struck out for one that only says that its gel was checked."""
    by = next((r for r in readings if kept.struck and r.id == kept.struck.by), None)
    return by is not None and kept.reading.model_copy(update={"gels_checked": True}) == by.reading


def mended_reading_view(
    form: Form, kept: StoredReading, gels: Sequence[Gel], first: Struck | None
) -> MendedReadingView:
    """Return the form in which the reading `kept` is mended, where somebody may have been `first`."""
    return MendedReadingView(
        was=read_said(kept.reading),
        stored=kept,
        elsewhere=tuple(form.elsewhere([*READING, "read_behind", "time"])),
        layers=layers_read(form.chosen("read_behind"), gels),
        spectrum=kept.reading.spectrum is not None,
        first=first,
        gone=kept.struck is not None,
        over=str(kept.id) if first else form.value("over"),
    )


def light_changed_said(head: PlannedSource, readings: Sequence[StoredReading]) -> Markup | None:
    """Say between which of its `readings`, oldest first, a head's light changed; None where it did not."""
    if head.changed is None:
        return None
    stand = [kept for kept in readings if kept.counts]
    times = [
        next((kept.taken_at for kept in reversed(stand) if same_but_level(kept.reading, one)), "")
        for one in (head.changed.before, head.changed.after)
    ]
    if not all(times):
        return Markup("The light changed.")
    before, after = head.changed.before.level, head.changed.after.level
    dimmed = after is not None and after != before
    said = f"At {plain(after)} % it is another light, changed" if dimmed else "The light changed"
    return Markup("{} {}.").format(said, when_between(*sorted(times)))


def moved_since_said(fitted: Reading | None, readings: Sequence[StoredReading]) -> Markup | None:
    """Say with which of its `readings`, oldest first, a head that moved since `fitted`; None if none."""
    if fitted is None:
        return None
    stand = [kept for kept in readings if kept.counts]
    at = next((kept.taken_at for kept in reversed(stand) if same_but_level(kept.reading, fitted)), "")
    then = Markup(" with {}").format(kelvin(fitted.cct)) if fitted.cct is not None else ""
    return Markup("It moved: it fitted{}{}.").format(then, Markup(" at {}").format(hour(at)) if at else "")


def shape_kept_said(shape: Spectrum | None, readings: Sequence[StoredReading]) -> Markup | None:
    """Say of a spectrum that was read before the newest reading that it counts still; None without one."""
    if shape is None:
        return None
    at = next((kept.taken_at for kept in readings if kept.reading.spectrum == shape), "")
    when_read = Markup(" of {}").format(hour(at)) if at else ""
    return Markup("The spectrum{} still counts, bent to the newest reading.").format(when_read)


def concerned_said(concerned: Sequence[StoredReading]) -> Markup:
    """Say which readings another gel concerns, oldest first: those since the stack was hung."""
    if not concerned:
        return Markup("Nothing was read behind it yet.")
    first = hour(concerned[0].taken_at)
    if len(concerned) == 1:
        return Markup("The reading of {} goes to the one that really hung. Older ones stay.").format(first)
    said = "{} readings, since {}, go to the one that really hung. Older ones stay."
    return Markup(said).format(len(concerned), first)


def _row(kept: StoredReading, before: StoredReading | None, left_out: Sequence[Reading]) -> ReadingRow:
    reading = kept.reading
    who, how = (f", {kept.who}" if kept.who else ""), stood(reading)
    if kept.tested:
        how = f"in its test, {how}" if how else "in its test"
    if kept.another_lamp:
        how = f"another lamp, {how}" if how else "another lamp"
    taken = when_late(kept.taken_at, kept.sent_at) if kept.sent_at else when(kept.taken_at)
    waits = kept.counts and any(same_but_level(reading, one) for one in left_out)
    return ReadingRow(
        id=kept.id,
        taken=taken,
        beside=f"{who} · {how}" if how else who,
        colour=_colour(reading),
        lux=reading.lux,
        struck=kept.struck,
        was=_was(before, kept) if before else "",
        mended=before.struck if before else None,
        waits=LEFT_OUT if waits else BURNT if reading.gel_burnt else "",
    )


def _was(before: StoredReading, kept: StoredReading) -> str:
    """Say what was wrong with a reading before it was mended: “Was 7 394 K”, “Was read 16:05, 30 Nov”."""
    said = was_words(before.reading, kept.reading, gel) if before.reading != kept.reading else ""
    if before.taken_at != kept.taken_at:
        said = f"{said or 'was'}{', ' if said else ' '}read {when_said(before.taken_at)}"
    return capitalize_first(said)


def _colour(reading: Reading) -> tuple[str, str]:
    """Return what was read of the colour, in two columns."""
    if reading.spectrum:
        return "spectrum", ""
    if reading.xy:
        return f"x {reading.xy[0]}", f"y {reading.xy[1]}"
    off = duv(reading.duv)
    return kelvin(reading.cct), f"{off}, not metered" if reading.duv_assumed else off
