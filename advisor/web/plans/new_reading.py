"""A new reading as its form says it: what it was taken behind, what is kept, what the source is with it."""

from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass, replace

from ...advice.learned.light_here import fits_move
from ...model import Reading, Refused, Source, Work
from ...model.sets.phrases import listed
from ...model.sets.whole import that_count
from ...store import StoredSource
from ...store.sets.sets import SetStore
from ..forms.form import Form
from ..forms.source_form import reading_from
from ..forms.taken import age, before_now
from ..state import state
from ..wording.values import gel
from .behind import at_dials, at_level, at_said_level, set_as_told, turned_as_told, works_found
from .kept import plan_for


@dataclass(frozen=True)
class NewReading:
    """A reading with its dials and level; `work` is what it makes of the work, None where that stays."""

    reading: Reading
    work: Work | None


def taken_from(now: StoredSource, form: Form) -> NewReading:
    """Read a new reading of a source from its form; raises Refused."""
    source = as_read(now, form)
    work = read_behind(source.work, form)
    reading = at_dials(reading_from(form, work.gels if work else ()), source)
    if not age():  # at which level it was used when a late one was taken, nobody knows
        reading = at_level(reading, source) if work else at_said_level(reading, source)
    if source is not now.source:
        return NewReading(reading, None)
    turned = work
    if reading.dial is not None:  # else nobody was told to turn any, and no plan is needed to save it
        owner = state().sets.get_set(now.set_id)
        head, tolerance = plan_for(owner).heads[owner.index_of(now.id)], owner.limits.tolerance_of(source)
        turned = (
            turned_as_told(head, work, reading, tolerance) if work else set_as_told(head, reading, tolerance)
        )
    if turned is None:
        return NewReading(reading, None)
    if turned is not work:
        now = replace(now, source=source.model_copy(update={"work": turned}))
    return NewReading(reading, works_found(now, turned, [reading]))


def moved_before(sets: SetStore, now: StoredSource, readings: Sequence[Reading]) -> bool:
    """Say that a stand was moved where it was to go, if new readings are of there by their light.

    Returns whether it was; then they are to be taken once more, of where it stands now. Who moved it often
    meters before anybody ticks it, and the move would be counted twice. Every door asks this before it keeps
    a reading: the page of a head, a paste, and the API. `sets` knows how long ago they were taken.
    """
    stand = now.source.stand
    if stand is None or not fits_move(now.source, readings) or sets.told_since(now.id):
        return False
    done = stand.model_copy(update={"done": True, "by_light": True})
    sets.change_source(now.id, {"stand": done})
    return True


def source_with(now: StoredSource, new: NewReading) -> Source:
    """Return a source as it would be once a reading is kept that was taken just now.

    Where its lamp is out, that is of another lamp.
    """
    if now.source.lamp and now.source.lamp_out:
        counts, others = that_count([new.reading])
        lit = {"lamp": now.source.lamp.back(), "reading": counts, "readings": others}
        return now.source.model_copy(update=lit)
    counting = [kept.reading for kept in state().sets.readings_of(now.id) if kept.counts]
    counts, others = that_count([*counting, new.reading])
    changes = {"reading": counts, "readings": others, "work": new.work or now.source.work}
    return now.source.model_copy(update=changes)


def as_read(now: StoredSource, form: Form) -> Source:
    """Return a source as it was when a reading of it was taken: what comes in late was read behind what hung.

    That is where the form fits what hung then; else as it is now.
    """
    if late := age():
        then = state().sets.work_at(now.id, before_now(late))
        if _hanging(then) != _hanging(now.source.work):
            with suppress(Refused):
                read_behind(then, form)
                return now.source.model_copy(update={"work": then})
    return now.source


def _hanging(work: Work | None) -> list[str] | None:
    return work.gels if work and work.hangs else None


def read_behind(work: Work | None, form: Form) -> Work | None:
    """Return the work that a reading was taken behind; None where it was taken of the bare source.

    Raises Refused where what hangs is not what hung when the form was shown: what was read behind gels must
    never pass for the bare reading, nor behind these for behind those.
    """
    behind, hangs = form.value("behind"), work is not None and work.hangs
    if behind == "hung" and (work is None or not hangs):
        raise Refused.one(
            "behind", "nothing hangs on it any more", "take it as bare, or say first what hangs"
        )
    if not hangs and form.values.get("behind") == "":
        raise Refused.one(
            "behind", "nothing was chosen", "say that it was read bare, or say first what hangs"
        )
    if work is None or not hangs:
        return None
    stays_bare = not (work.gels or work.dial)
    if behind == "bare" or (stays_bare and "behind" not in form.values):
        return work if stays_bare else None  # bare is how it hangs
    hung = "; ".join(work.gels)
    if not behind or form.values.get("hung", hung) != hung:
        says = f"{listed([gel(name) for name in work.gels]) or 'nothing'} hangs on it now"
        raise Refused.one("behind", says, "say whether it was read behind that, or bare. Or read it again")
    return work
