"""One stop of the work order, on the page of its head: where its cuts are, what to mind, where to go next."""

from dataclasses import dataclass

from ....advice.wording.cautions import cautions
from ....store import StoredSet, StoredSource
from ...plans.onward.order import OrderNow, holder, order_of
from ...state import state
from .work_order import WhoIsThere, cuts_said, there_now, waits_said


@dataclass(frozen=True)
class StopView:
    """A head that somebody is at. Only who is there is said, unless it is whoever asks.

    `said` is which stop it is, `cuts` where its cuts are, `mind` what can hurt hands there, `waits` what has
    to come down elsewhere first. `go_on` leads to the head after it. `done` says that nothing is left to
    hang or to take down here.
    """

    there: WhoIsThere
    said: str = ""
    cuts: tuple[str, ...] = ()
    mind: tuple[str, ...] = ()
    waits: str = ""
    go_on: str = ""
    done: bool = False


def stop_view(owner: StoredSet, now: StoredSource) -> StopView | None:
    """Return the stop that a head is for whoever asks; None where nobody is at it."""
    taken = state().taken.of_set(owner.id).get(now.id)
    if taken is None:
        return None
    if taken.holder != holder():
        return StopView(WhoIsThere(taken.who or "Somebody", taken.at))
    return _mine(order_of(owner), owner, now)


def _mine(one: OrderNow, owner: StoredSet, now: StoredSource) -> StopView | None:
    there = there_now(one, now.id)
    if there is None:  # freed between the lines
        return None
    k = one.order.place_of(owner.place_of(now.id))
    stop = None if k is None else one.order.stops[k]
    after = one.next_after(now.id)
    found = cautions([now.source], owner.hidden_cautions)
    moves = stop is not None and stop.moves
    return StopView(
        there=there,
        said="Work order" if k is None else f"Work order, stop {k + 1} of {len(one.order.stops)}",
        cuts=cuts_said(stop) if stop and stop.ready else (),
        mind=tuple(words for caution in found if (words := caution.at_the_head)) if moves else (),
        waits=waits_said(one, stop) if stop else "",
        go_on=f"Next: {one.source(after).source.name}" if after else "Done here",
        done=not moves,
    )
