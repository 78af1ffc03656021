"""A new reading as its form says it: what is kept of it, and what the source is with it."""

from dataclasses import dataclass

from ...model import Reading, Source, Work
from ...model.sets.whole import that_count
from ...store import StoredSource
from ..forms.form import Form
from ..forms.source_form import reading_from
from ..forms.taken import age
from ..state import state
from .behind import at_dials, at_level, at_said_level, works_found
from .read_behind import as_read, read_behind


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
    after = works_found(now, work, [reading]) if work and source is now.source else None
    return NewReading(reading, after)


def source_with(now: StoredSource, new: NewReading) -> Source:
    """Return a source as it would be once a reading is kept that was taken just now."""
    counting = [kept.reading for kept in state().sets.readings_of(now.id) if kept.struck is None]
    counts, others = that_count([*counting, new.reading])
    changes = {"reading": counts, "readings": others, "work": new.work or now.source.work}
    return now.source.model_copy(update=changes)
