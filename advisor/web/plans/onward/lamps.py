"""The lamps to ask for on a set, in sentences: one for each source that gel serves poorly."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from ....advice.plan.another_lamp import (
    OtherLamp,
    PoorlyGelled,
    nearer_lamp,
    not_well_gelled,
    other_lamp,
    other_lamps,
    poorly_gelled,
    without_lamp,
)
from ....advice.plan.plan import Plan
from ....advice.wording.cautions import Caution, cautions
from ....model.sets.phrases import counted, listed, measured
from ....store import StoredSet
from ...wording.values import kelvin
from ..aside import worked_aside
from ..kept import asked_of
from . import lamps_said

FEW_WHITES = 3
"""If the sources want at most so many different whites, the lamps are found while the page waits."""


@dataclass(frozen=True)
class LampToAsk:
    """What to ask for in the place of a source's lamp.

    `why` says what gel does for the present lamp. `ask` says which lamp needs no gel or, if no such lamp is
    sold, which one needs a single sheet. `colour` says what else to ask for, and `behind` which other lamps
    do behind a single sheet.
    """

    source_id: int
    revision: int
    name: str
    why: str
    ask: str
    colour: str
    behind: tuple[str, ...]


@dataclass(frozen=True)
class LampsPage:
    """The lamps to ask for, practicals first, with the cautions for those who change them.

    `unsold` says for which sources no lamp that is sold would do either, and which comes nearer; or nothing.
    `stays` says so of what gel does not serve well and is confirmed, or is daylight. `all_well` is true where
    gel serves all of them.
    """

    heading: str
    lamps: tuple[LampToAsk, ...]
    cautions: tuple[Caution, ...]
    unsold: str = ""
    stays: str = ""
    all_well: bool = False


def lamps_page(now: StoredSet, plan: Plan) -> LampsPage:
    """Return the lamps to ask for on a set."""
    found = _asked_for(now, plan)
    names = {i: nearer_lamp(plan, i) for i in without_lamp(plan)}
    unsold = _unsold(now, names)
    badly = not_well_gelled(plan)
    stays = _stays(now, badly)
    if not found:
        none = "No lamp to ask for" if names or badly else "Gel can do every source"
        none = "No lamp on sale is sure to come close" if any(names.values()) else none
        return LampsPage(none, (), (), unsold, stays, all_well=not (names or badly))
    changed = [now.sources[one.index].source for one in found]
    return LampsPage(
        heading=f"{counted(len(found), 'lamp')} to ask for",
        lamps=tuple(_lamp(one, now) for one in found),
        cautions=tuple(cautions(changed, now.hidden_cautions)),
        unsold=unsold,
        stays=stays,
    )


def _unsold(now: StoredSet, nearer: Mapping[int, int | None]) -> str:
    """Say for which sources no lamp on sale comes close, and which one comes `nearer` [K], if one does."""
    none = [now.sources[i].source.name for i, cct in nearer.items() if cct is None]
    said = [
        f"For {now.sources[i].source.name}, one of {kelvin(cct)} comes nearer than gel."
        for i, cct in nearer.items()
        if cct is not None
    ]
    said += [f"No lamp on sale does better for {listed(none)}."] if none else []
    return " ".join(said)


def _stays(now: StoredSet, badly: Sequence[PoorlyGelled]) -> str:
    """Say what gel does not serve well and stays all the same: “Confirmed, or daylight: Key (4 layers).”"""
    named = [f"{now.sources[one.index].source.name} ({_how_badly(one)})" for one in badly if one.stays]
    return f"Confirmed, or daylight: {listed(named)}." if named else ""


def _how_badly(one: PoorlyGelled) -> str:
    said = [counted(one.layers, "layer")] if one.layers else []
    said += [measured(one.stops, "stop")] if one.stops else []
    said += [str(one.seen)] if one.seen else []
    return ", ".join(said)


def _asked_for(now: StoredSet, plan: Plan) -> list[OtherLamp]:
    """Return the lamps to ask for; raises Working if that takes longer than a page waits.

    What takes long is to find the CCT and Duv of lamps behind a sheet, once for each white that is wanted.
    """
    poor = poorly_gelled(plan)
    whites = {(plan.prepared[i].wanted.cct, plan.limits.tolerance_of(plan.heads[i].source)) for i in poor}
    if len(whites) <= FEW_WHITES:
        return other_lamps(plan)
    return worked_aside("The list of lamps", ["other lamps", asked_of(now).number], other_lamps, plan)


def lamp_for(now: StoredSet, plan: Plan, i: int) -> LampToAsk | None:
    """Return what to ask for in the place of the `i`-th source's lamp; None where gel is a fair answer.

    Lamps that need a sheet are looked for here only where no other is sold: the page of all lamps lists them.
    """
    found = other_lamp(plan, i, behind=False)
    return _lamp(found, now) if found else None


def lamps_line(plan: Plan) -> str:
    """Return the board's line about the sources to ask another lamp for; empty if there are none."""
    names = [plan.heads[i].source.name for i in poorly_gelled(plan)]
    if len(names) > 2:
        return f"{counted(len(names), 'other lamp')} to ask for"
    return f"Ask for another lamp: {listed(names)}" if names else ""


def _lamp(found: OtherLamp, now: StoredSet) -> LampToAsk:
    stored = now.sources[found.index]
    # The first needs no gel, if such a lamp is sold.
    first = lamps_said.ask_said(found.windows[0], stored.source, tube=found.tube)
    return LampToAsk(
        source_id=stored.id,
        revision=stored.revision,
        name=stored.source.name,
        why=lamps_said.why_said(found),
        ask=first,
        colour=lamps_said.COLOUR,
        behind=tuple(lamps_said.behind_said(one) for one in found.windows[1:]),
    )
