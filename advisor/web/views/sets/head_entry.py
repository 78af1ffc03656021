"""A head on the board of a set: what it needs, what to do in five words, and how good that will be."""

from dataclasses import dataclass, replace

from ....advice.pictures.light_path import LightPath
from ....advice.plan.needs import Needs
from ....model import Problem, Seen, Source
from ...plans.since import Since
from ..pulls.wrap import taken_down


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


def at_wrap(entry: HeadEntry, source: Source, *, down: bool, metered: bool) -> HeadEntry:
    """Return the row of a head of a wrapped set: what came down or comes down, and how it ended.

    How good it was is said where it was `metered` behind what hung; else nobody knows.
    """
    done = replace(entry, why=None, note="", problems=(), good=entry.good if metered else None)
    if not (hung := source.hanging):
        bare = entry.needs in (Needs.NOTHING, Needs.LEAVE)
        good = entry.good if bare else None
        return replace(done, needs=Needs.LEAVE, state="Bare", what="No gel hung", path=None, good=good)
    what = taken_down(hung, down=down)
    if down:
        return replace(done, needs=Needs.NOTHING, state="Down", what=what)
    return replace(done, needs=Needs.HANG, state="To strip", what=what)
