"""What the pages work on."""

from dataclasses import dataclass, replace
from typing import cast

from flask import current_app, g, has_request_context, request

from ..advice.wording.ladder import Ladder, ladder_of
from ..model import Gel
from ..model.gels.formats import FormatTable, formats_from
from ..store.crew.choices import ChoiceStore
from ..store.crew.gels import GelStore
from ..store.crew.heads_taken import TakenHeads
from ..store.crew.layouts import LayoutStore
from ..store.known_heads.heads import HeadStore
from ..store.sets.sets import SetStore
from .access.sessions import person
from .forms.taken import age, before_now


@dataclass(frozen=True)
class State:
    """The stores behind an application."""

    sets: SetStore
    gels: GelStore
    choices: ChoiceStore
    layouts: LayoutStore
    heads: HeadStore
    taken: TakenHeads


def state() -> State:
    """Return the stores of the application that answers this request, which know who asks."""
    if not has_request_context():
        return cast(State, current_app.extensions["advisor"])
    if "state" not in g:
        g.state = _of_request()
    return cast(State, g.state)


FEW_READINGS = 20_000
"""So many readings are read from the file while a page waits: that takes half a second."""


def _of_request() -> State:
    kept = cast(State, current_app.extensions["advisor"])
    who, late = person().name, age()
    looks = request.method in ("GET", "HEAD")  # what changes something waits
    if not (who or late or looks):
        return kept
    sets = kept.sets.by(who, late, FEW_READINGS if looks else None)
    if not (who or late):
        return replace(kept, sets=sets)
    return State(
        sets,
        kept.gels.by(who),
        kept.choices.by(who),
        kept.layouts.by(who),
        kept.heads.by(who, before_now(late) if late else ""),
        kept.taken,
    )


def gels_in_force() -> list[Gel]:
    """Return the rows of the gel table in force."""
    return state().gels.in_force().table.rows


def ladder_in_force() -> Ladder:
    """Return how large the fractions of gels are by the table in force."""
    return ladder_of(gels_in_force())


TRUCK = "gels on the truck"
"""The name under which it is kept that somebody said which gels are on the truck, or skipped it."""


def truck_unasked() -> bool:
    """Whether nobody said yet which gels are on the truck, or skipped that, or changed the table."""
    return state().choices.load(TRUCK) is None and state().gels.in_force().version == 0


FORMATS = "gel formats"
"""The name under which the sizes that gel is cut from are kept."""


def formats_in_force() -> FormatTable:
    """Return the sizes that gel is cut from."""
    return formats_from(state().choices.load(FORMATS))
