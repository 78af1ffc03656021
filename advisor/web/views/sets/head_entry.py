"""A head on the board of a set: what it needs, what to do in five words, and how good that will be."""

from dataclasses import dataclass

from ....advice.pictures.light_path import LightPath
from ....advice.plan.head import Needs
from ....model import Problem, Seen
from ...plans.since import Since


@dataclass(frozen=True)
class Good:
    """How plainly a head's miss is seen, and the chance that it comes close, or that it was read."""

    seen: Seen
    words: str
    chance: str


@dataclass(frozen=True)
class HeadEntry:
    """A row of the board.

    `needs` sorts it, and `state` says the same in words. `what` is what to do. `anchor` is where a count of
    the headline leads, on the first row of its group only. `why` says why what was decided is not what is
    advised. `note` says by when to meter what drifts, that nobody metered it here, or how long ago daylight
    was. `good` is None where something has to be said first.
    """

    id: int
    number: int
    name: str
    needs: Needs
    state: str
    what: str
    anchor: str
    why: Since | None
    note: str
    path: LightPath | None
    good: Good | None
    problems: tuple[Problem, ...]
