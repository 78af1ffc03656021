"""The ways on for a set that no longer fits, beside each other; and the line on its board to them."""

from dataclasses import dataclass

from ....advice.next_plans.way import NextPlan, NextPlans
from ....advice.plan.needs import Needs, in_order, needs_of_each
from ....advice.wording.cautions import Caution, cautions
from ....model import Source
from ....store import StoredSet
from ...plans import ways_said as wording
from ...plans.kept import PlanInputs, asked_of, plan_for
from ...plans.ways_on import frozen_at, is_adopted, mark_of, mark_of_moved, moved_on, ways_on
from ...wording.board import brief, tally
from ...wording.values import capitalize_first, kelvin


@dataclass(frozen=True)
class HeadTurn:
    """What to do at a head."""

    name: str
    words: str


@dataclass(frozen=True)
class WayOn:
    """A plan as the page says it; `mark` tells it from others, and `first` is the cheapest.

    `adopted` is true of the one that the set has by now.
    """

    number: int
    way: str
    mark: str
    name: str
    moves: str
    camera: str
    turns: tuple[HeadTurn, ...]
    light: str
    off: str
    cuts: str
    first: bool
    adopted: bool


@dataclass(frozen=True)
class OpenHead:
    """A head on which something is to be done, though nothing moved."""

    id: int
    name: str
    words: str


@dataclass(frozen=True)
class WaysPage:
    """The page: what moved, and the ways on; `fits` where nothing moved, and so none is needed.

    `without` says which sources are in none of them. `still` are heads that are not done all the same.
    `stays` says that the crew left what moved as it is.
    """

    heading: str
    ways: tuple[WayOn, ...]
    cautions: tuple[Caution, ...]
    freeze: str
    without: str = ""
    still: tuple[OpenHead, ...] = ()
    stays: bool = False

    @property
    def decided(self) -> bool:
        """Whether one of the ways was adopted."""
        return any(way.adopted for way in self.ways)

    @property
    def fits(self) -> bool:
        """Whether nothing moved since what hangs was decided."""
        return not self.ways


@dataclass(frozen=True)
class WaysLine:
    """The line on a set's board: what moved and how many plans there are; empty where it fits.

    `adopted` is true once one of them was chosen.
    """

    words: str
    adopted: bool = False


def line_of(now: StoredSet, asked: PlanInputs) -> WaysLine:
    """Return the line on the board of a set, whose plan follows from `asked`; it waits for no search.

    It is empty too where the crew left what moved as it is, until that is read anew.
    """
    if now.stays_as and now.stays_as == mark_of_moved(now, asked):
        return WaysLine("")
    if asked.large:
        moved = moved_on(now, asked)
        names = wording.sources_moved(moved.sources, moved.levels) if moved else ""
        return WaysLine(f"{names}: see the plans" if names else "")
    found = ways_on(now, asked)
    if found is None:
        return WaysLine("")
    adopted = any(is_adopted(now, plan, found.moved) for plan in found.plans)
    return WaysLine(wording.ways_said(found, adopted=adopted), adopted)


def view_of(now: StoredSet) -> WaysPage:
    """Return the ways on for a set, the fewest moves first."""
    asked = asked_of(now)
    found, fixed = ways_on(now, asked), frozen_at(now, asked)
    freeze = f"Freeze at {kelvin(fixed.cct)}" if fixed else ""
    if found is None:
        return _nothing_moved(now, freeze)
    indices = {turn.index for plan in found.plans for turn in plan.heads}
    climbed = [now.sources[index].source for index in sorted(indices)]
    return WaysPage(
        heading=capitalize_first(wording.moved_said(found)),
        ways=tuple(_way(now, plan, k, found) for k, plan in enumerate(found.plans, 1)),
        cautions=tuple(cautions(climbed, now.hidden_cautions)),
        freeze=freeze,
        without=wording.without_said(
            [one.source.name for one in now.sources if _left_out(one.source, found)]
        ),
        stays=bool(now.stays_as) and now.stays_as == mark_of_moved(now, asked),
    )


def _nothing_moved(now: StoredSet, freeze: str) -> WaysPage:
    heads = plan_for(now).heads
    needs = needs_of_each(heads)
    todo = [i for i in in_order(needs) if needs[i] not in (Needs.NOTHING, Needs.LEAVE)]
    if not todo:
        return WaysPage("What hangs fits", (), (), freeze)
    return WaysPage(
        heading=f"No plan to choose. {capitalize_first(tally(needs[i] for i in todo))}",
        ways=(),
        cautions=(),
        freeze=freeze,
        still=tuple(
            OpenHead(now.sources[i].id, heads[i].source.name, brief(heads[i], needs[i])) for i in todo
        ),
    )


def _left_out(source: Source, found: NextPlans) -> bool:
    """Whether a source that is to match takes no part in the plans."""
    return source.name in found.left_out and not (source.aim.leave or source.lamp_out)


def _way(now: StoredSet, plan: NextPlan, number: int, found: NextPlans) -> WayOn:
    busy = [turn for turn in plan.turns if turn.moves or turn.dial]
    return WayOn(
        number=number,
        way=plan.way.value,
        mark=mark_of(plan),
        name=wording.named(plan, found),
        moves=wording.moves_said(plan),
        camera=wording.camera_said(plan, found),
        turns=tuple(HeadTurn(turn.name, wording.turn_said(turn)) for turn in busy),
        light=wording.light_said(plan, [stored.source for stored in now.sources]),
        off=wording.off_said(plan),
        cuts=wording.cuts_said(plan),
        first=number == 1,
        adopted=is_adopted(now, plan, found.moved),
    )
