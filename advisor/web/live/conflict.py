"""What two people wanted of one thing, side by side, for the second one to choose, with who wants what."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field

from flask import request

from ...model import StandMove, Target, Work
from ...store import Conflict, StoredSet, StoredSource
from ...store.tables.history import touched
from ...store.tables.records import Change
from ..forms.form import Form
from ..forms.merge import SHOWED, Fields, Merged, Units, merge, showed_in
from ..state import state
from .idempotency import asked_revision, matched_by_header, tell_revision


def _reread(changes: Sequence[Change], unit: str) -> Change | None:
    """Return the newest change by which another reading counts: a reading may be struck out, too."""
    if unit != "reading":
        return None
    return next((c for c in reversed(changes) if c.what.startswith("reading.")), None)


@dataclass(frozen=True)
class Difference:
    """What is wanted of one thing: how it is now, how the second writer wanted it, and who was first."""

    what: str
    theirs: str
    mine: str
    by: Change | None = None

    @property
    def who(self) -> str:
        """Who was first; empty where nobody knows."""
        return self.by.who if self.by else ""

    @property
    def own(self) -> bool:
        """Whether who was first is who writes now: on another phone, or on another page."""
        return bool(self.who) and self.who == state().sets.who


@dataclass(frozen=True)
class Written:
    """A form as it is to be saved: over which revision, and what is to be asked before."""

    merged: Merged
    revision: int | None

    @property
    def form(self) -> Form:
        """The form, with what others changed put into it."""
        return self.merged.form


SENT_AGAIN = {
    "reading": "sources.add_reading",
    "details": "sources.edit_source",
    "openings": "openings.edit_openings",
    "level": "work.use_level",
    "kind": "work.set_kind",
    "layers": "work.allow_layer",
    "work": "work.set_work",
    "stand": "work.move_stand",
    "lamp": "lamp.set_lamp",
    "aim": "compare.set_aim",
    "gel": "mend.correct_gel",
    "mended": "mend.mend_reading",
}
"""The forms of a head that are sent once more when it is put back, if another one removed it meanwhile: what
is kept, and the view that takes it."""


def seen_of(now: StoredSource | StoredSet) -> int | None:
    """Return the revision that the writer saw, None where the request does not say.

    Raises Conflict where If-Match names another than the present one: what a form saw can be merged, a
    header asks for just that. Raises Refused for what is no revision.
    """
    revision = asked_revision()
    if matched_by_header() and revision is not None and revision != now.revision:
        raise Conflict(now)
    return revision


@dataclass(frozen=True)
class Adoptable:
    """What a page offers a set: a target, and by sources' ids their work, dimmer levels [%] and stands."""

    target: Target
    works: Mapping[int, Work | None]
    levels: Mapping[int, float] = field(default_factory=dict)
    stands: Mapping[int, StandMove | None] = field(default_factory=dict)


def adopt(
    now: StoredSet, offered: Callable[[], Adoptable | None], *, any_revision: bool = False
) -> list[int]:
    """Adopt what a page offered a set, as it stands `now`; return the numbers of the changes.

    `offered` says it anew, None where it is not offered any more. Raises Conflict then, and where the page
    showed another revision of the set; with `any_revision`, what is still offered is adopted all the same.
    """
    seen = seen_of(now)
    same = any_revision or seen in (None, now.revision)
    found = offered() if same else None
    if found is None:
        raise Conflict(now, _newest_since(now, seen))
    numbers = state().sets.adopted.adopt(
        now.id,
        found.target,
        found.works,
        revision=now.revision,
        levels=found.levels,
        stands=found.stands,
    )
    tell_revision(seen, now.revision, state().sets.get_set(now.id).revision)
    return numbers


def _newest_since(now: StoredSet, seen: int | None) -> Change | None:
    """Return the newest change of a set since a page of it was shown; None where nobody knows."""
    if seen is None or seen == now.revision:
        return None
    changes = state().sets.history(now.id)
    return changes[-1] if changes else None


def sent_along() -> list[tuple[str, str]]:
    """Return the fields of a form that go along when what it asked for is asked for once more."""
    return [(name, own) for name, own in request.form.items(multi=True) if name not in _OF_ONE_REQUEST]


_OF_ONE_REQUEST = ("revision", "tap", "once", "token", "taken", "sent")


def mergeable() -> bool:
    """Whether a request says all that it takes to merge it: what its form showed, and when."""
    return bool(request.form.get(SHOWED) and request.form.get("revision"))


def over(
    form: Form,
    now: StoredSource | StoredSet,
    fields: Fields,
    units: Units,
    paths: Mapping[str, Sequence[str]],
    say: Callable[[str, str], str] = lambda field, value: value,
) -> Written:
    """Lay a form over a source or a set as it stands `now`, whose fields are then `fields`.

    `paths` say where history has the units that it does not have by their own names. A form that does not
    say what it showed is taken as it is, over the revision that it names. Raises Conflict and Refused.
    """
    seen, showed = seen_of(now), showed_in(form)
    if seen is None or showed is None:
        return Written(Merged(form), seen)
    merged = merge(form, showed, fields, units, say, moved=seen != now.revision)
    if merged.contests:
        set_id, source_id = (now.set_id, now.id) if isinstance(now, StoredSource) else (now.id, None)
        changes = state().sets.changes_since(set_id, source_id, seen)

        def name(unit: str) -> tuple[str, str]:
            by = touched(changes, *paths.get(unit, (unit,))) or _reread(changes, unit)
            return (by.who, by.at) if by else ("", "")

        merged = merged.by(name)
    return Written(merged, now.revision)
