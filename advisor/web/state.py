"""What the pages work on."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import cast

from flask import current_app

from ..advice.plan import Plan, make_plan
from ..model import Gel, Limits, Source, Target
from ..store.choices import ChoiceStore
from ..store.gels import GelStore
from ..store.sets import SetStore
from .sessions import person


@dataclass(frozen=True)
class State:
    """The stores behind an application."""

    sets: SetStore
    gels: GelStore
    choices: ChoiceStore


def state() -> State:
    """Return the stores of the application that answers this request, which know who asks."""
    kept = cast(State, current_app.extensions["advisor"])
    who = person().name
    return replace(kept, sets=kept.sets.by(who)) if who else kept


def gels_in_force() -> list[Gel]:
    """Return the rows of the gel table in force."""
    return state().gels.in_force().table.rows


def plan_for(sources: Sequence[Source], target: Target, limits: Limits) -> Plan:
    """Plan with the gel table in force."""
    return make_plan(sources, target, limits, gels_in_force())
