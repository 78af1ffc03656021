"""Whether the light changed between readings behind gels, and what of a source was read since.

Two readings behind the same stack, at one level, with one modifier and one setting of the dials, are of one
light if they differ by no more than the meter explains. If they differ by more, the light changed between
them. Then whatever was read before the later one says nothing of the light now, whether bare or behind gels.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from ...colour.observer.chromaticity import steps_apart
from ...model import UNREAD, Accuracy, Predicted, Reading, Refused, Source, Stage, Work
from ...model.basis.base import name_key
from ...model.sets.behind import conditions_of, read_behind, stand_in_use
from ..readings.chromaticity import WhitePoint, measure
from ..readings.dim_curve import InUse
from ..readings.dim_levels import in_use
from ..stacks.bare_behind_gels import worked_out
from ..stacks.gel_arrays import GelArrays
from ..stacks.prediction import PreparedSource, predicted_behind, prepare
from .light_here import predicted_here
from .posterior import white_fitted
from .taken import changed, differ

CHANGED = "The light changed. Earlier readings no longer count."
"""Said of a source that was read otherwise behind the same gels, or bare, since it was read before."""


@dataclass(frozen=True, eq=False)
class ChangedLight:
    """A light that changed between two readings, `before` and `after`.

    `source` has what was read since, and no bare reading if none of those is of the light now. `again` is
    true if what was read behind what hangs is of the light before. `promised` is what was predicted when it
    was hung.
    """

    before: Reading
    after: Reading
    source: Source
    again: bool = False
    promised: Predicted | None = None

    @property
    def by_behind(self) -> bool:
        """Whether no bare reading is of the light now: what it reads bare is worked out."""
        return not self.source.reading.said


@dataclass(frozen=True, eq=False)
class LightNow:
    """A source whose light changed, made ready (`bare`) from what was read since; `use` is what it reads."""

    change: ChangedLight
    use: InUse
    bare: PreparedSource


def light_now(
    source: Source, bare: PreparedSource, gel_arrays: GelArrays, accuracy: Accuracy
) -> LightNow | None:
    """Return a source made ready from what was read since its light changed; None where it did not.

    It is None, too, where no light of its kind looks like what was read since. `bare` is the source made
    ready from all of its readings.
    """
    change = light_changed(source, bare, gel_arrays, accuracy)
    if change is None:
        return None
    since = change.source
    try:
        use = in_use(since) if since.reading.said else worked_out(since, gel_arrays)
        ready = prepare(since, gel_arrays, bare.wanted, use)
        if change.by_behind:  # the newest reading says where it is, and all of them what it is
            there = white_fitted(replace(ready, left_out=bare.left_out), gel_arrays, accuracy)
            reading = use.reading.model_copy(update={"cct": there.cct, "duv": there.duv})
            use = replace(use, reading=reading)
            ready = prepare(since, gel_arrays, bare.wanted, use)
    except Refused:
        return None
    return LightNow(change, use, replace(ready, wanted=bare.wanted, left_out=bare.left_out))


def light_changed(
    source: Source, bare: PreparedSource, gel_arrays: GelArrays, accuracy: Accuracy
) -> ChangedLight | None:
    """Return between which readings the light of a source changed; None where no reading says so.

    `bare` is the source made ready. Readings that it leaves out do not count, nor do those of adjustable
    heads, and those at another level or with another modifier than in use.
    """
    if source.reach:
        return None
    return _behind_the_same(source, bare, gel_arrays, accuracy) or _bare_since(
        source, bare, gel_arrays, accuracy
    )


def _behind_the_same(
    source: Source, bare: PreparedSource, gel_arrays: GelArrays, accuracy: Accuracy
) -> ChangedLight | None:
    behind = read_behind(source)
    if len(behind) < 2:  # there is no pair
        return None
    pairs = list(pairs_behind(source, bare, behind, accuracy))
    if not pairs:
        return None
    _, old, new = max(pairs, key=lambda pair: pair[2])
    # In the list of readings come those behind gels that it has; the work may have one more.
    counting = (index for index, one in enumerate(source.readings) if one.gels and not one.gel_burnt)
    indices = list(counting)
    since = indices[new] if new < len(indices) else len(source.readings)
    later = source.readings[since:]
    before, after = behind[old], behind[new]
    counts = any(reading.said and not reading.gels for reading in later)
    counts = counts or (source.reading.said and nearer(bare, after, before, gel_arrays))
    work = _without(source.work, behind[:new])
    same = work and sorted(map(name_key, work.gels)) == sorted(map(name_key, after.gels))
    if work and same and not (counts and work.read_bare == source.reading):
        work = work.model_copy(update={"predicted": None})  # that was of the light before
    kept = {"readings": later, "work": work, "reading": source.reading if counts else UNREAD}
    if not counts and not any(reading.gels for reading in later):
        kept["readings"] = [*later, after]
    then = source.work.predicted if source.work and same else None
    # Light that was predicted elsewhere says nothing of what is read here.
    then = predicted_here(source, then) if then else None
    return ChangedLight(before, after, source.model_copy(update=kept), promised=then)


def pairs_behind(
    source: Source, bare: PreparedSource, behind: Sequence[Reading], accuracy: Accuracy
) -> Iterator[tuple[list[int], int, int]]:
    """Yield of each stack the indices of what was read behind it, and between which two of them it moved.

    They are indices in `behind`, what was read behind gels, oldest first. Stacks behind which nothing moved
    are left out.
    """
    stacks: dict[str, list[tuple[int, WhitePoint]]] = {}
    for index, reading, white in _whites(source, bare, behind):
        # All are at the level in use, or may be: one of which nobody noted it may be from before a dimmer.
        key = sorted(map(name_key, reading.gels)), reading.dial
        stacks.setdefault(repr(key), []).append((index, white))
    for read in stacks.values():
        if pair := _last_pair(read, accuracy):
            yield [index for index, _ in read], *pair


def _bare_since(
    source: Source, bare: PreparedSource, gel_arrays: GelArrays, accuracy: Accuracy
) -> ChangedLight | None:
    """Return the change that a newer bare reading shows, where what hangs was read before it."""
    since, older = changed(source, accuracy)
    found = source.work.read_behind if source.work and source.work.hangs else None
    behind = read_behind(source)
    if older is None or source.work is None or found is None or not behind:
        return None
    if source.work.read_bare == source.reading:
        return None  # it was hung after that, so what was read behind it is of the light since
    try:
        was = prepare(source, gel_arrays, bare.wanted, InUse(older))
    except Refused:
        return None
    count = len(behind) - len(read_behind(source, since))
    old = [
        reading
        for index, reading in enumerate(behind)
        if index < count or _fits_better(was, bare, reading, gel_arrays)
    ]
    work = _without(source.work, old)
    if work is None or work.read_behind is not None:
        return None
    stage = Stage.HUNG if work.stage is Stage.CONFIRMED else work.stage
    work = work.model_copy(update={"stage": stage, "predicted": None, "steps_off": None})
    readings = [reading for reading in source.readings if not (reading.gels and _among(reading, old))]
    kept = {"readings": readings, "work": work}
    return ChangedLight(older, source.reading, source.model_copy(update=kept), again=True)


def _whites(
    source: Source, bare: PreparedSource, behind: Sequence[Reading]
) -> Iterator[tuple[int, Reading, WhitePoint]]:
    """Yield readings as the source is used, with their indices and whites; no white and left out are not."""
    used = stand_in_use(source)
    for index, reading in enumerate(behind):
        if reading in bare.left_out or not conditions_of(reading).agrees(used):
            continue
        try:
            yield index, reading, measure(reading)
        except Refused:
            continue


def _last_pair(read: Sequence[tuple[int, WhitePoint]], accuracy: Accuracy) -> tuple[int, int] | None:
    """Return the indices of the last reading of another light, and of the first of the light now."""
    _, now = read[-1]
    for (index, white), (following, _) in reversed(list(pairwise(read))):
        if differ(white, now, accuracy):
            return index, following
    return None


def nearer(bare: PreparedSource, one: Reading, other: Reading, gel_arrays: GelArrays) -> bool:
    """Whether a source, by its bare reading, should look more like `one` behind their gels than `other`."""
    near, far = (_off(bare, reading, gel_arrays) for reading in (one, other))
    return near is not None and far is not None and near <= far


def _fits_better(was: PreparedSource, now: PreparedSource, reading: Reading, gel_arrays: GelArrays) -> bool:
    before, after = (_off(bare, reading, gel_arrays) for bare in (was, now))
    return before is not None and after is not None and before < after


def _off(bare: PreparedSource, reading: Reading, gel_arrays: GelArrays) -> float | None:
    """Return how far a reading is from what is predicted behind its gels, [step]; None if nobody knows."""
    try:
        uv = predicted_behind(bare, gel_arrays, gel_arrays.find(reading.gels))
        return float(steps_apart(measure(reading).uv, uv))
    except Refused:
        return None


def _without(work: Work | None, old: Sequence[Reading]) -> Work | None:
    """Return the work without readings that are of another light."""
    if work is None:
        return None
    behind, elsewhere = work.read_behind, work.read_elsewhere
    return work.model_copy(
        update={
            "read_behind": None if behind is None or _among(behind, old, work) else behind,
            "read_elsewhere": [reading for reading in elsewhere if not _among(reading, old, work)],
        }
    )


def _among(reading: Reading, others: Sequence[Reading], work: Work | None = None) -> bool:
    """Whether a reading is among others, in which its level, and the gels of the work, were filled in."""
    gels = reading.gels or (work.gels if work else [])
    whole = reading.model_copy(update={"gels": gels})
    return any(
        whole.model_copy(update={"level": other.level}) == other
        for other in others
        if reading.level in (None, other.level)
    )


def light_differs(source: Source, gelled: Reading, bare: Reading, accuracy: Accuracy) -> bool:
    """Whether a reading behind gels and a bare one may be of two lights: the light changed in between.

    It may if another bare reading set up alike differs, or another one behind the same gels, so that nobody
    knows which of them belong together. Those that are not white tell nothing.
    """

    def set_up(one: Reading) -> object:
        return sorted(map(name_key, one.gels)), one.level, name_key(one.modifier), one.dial

    for one in (gelled, bare):
        now = _white(one)
        for other in (*source.readings, source.reading):
            alike = other.said and not other.tested_at and set_up(one) == set_up(other)
            was = _white(other) if alike else None
            if now and was and differ(was, now, accuracy, source.kind):
                return True
    return False


def _white(reading: Reading) -> WhitePoint | None:
    try:
        return measure(reading)
    except Refused:
        return None
