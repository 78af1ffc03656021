"""A plan for the screen: every source with its words and stacks, and what stands in the way of the others.

Where the API refuses a request whole, a crew with one impossible reading still wants the other five. To the
advice a plan adds what was decided, and what was found behind it. It is data: `make` makes it, `questions`
asks more of it, and the pages draw it.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property

from ...colour.spectra.sources import Unbendable
from ...model import Limits, Problem, Setting
from ..dials.ranking import standing
from ..learned.sheet_strength import FarFromLabel
from ..readings.chromaticity import WhitePoint
from ..stacks.gel_arrays import GelArrays
from ..stacks.prediction import PreparedSource
from ..wording.ladder import TRADE, Ladder
from .head import PlannedSource


@dataclass(frozen=True, eq=False)
class Plan:
    """What to do about every source; `target` is None, with the problems, where there is no such white.

    `ladder` is how large the fractions of gels are that its words are said in. `prepared` are the heads that
    can be predicted, made ready for it, by their indices. `off_labels` are gels that count as they read.
    `by_test` says of each head that goes by its test alone when that began; it is empty of any other.
    """

    heads: tuple[PlannedSource, ...]
    target: WhitePoint | None = None
    problems: tuple[Problem, ...] = ()
    gel_arrays: GelArrays | None = None
    limits: Limits = field(default_factory=Limits)
    ladder: Ladder = TRADE
    prepared: Mapping[int, PreparedSource] = field(default_factory=dict)
    off_labels: tuple[FarFromLabel, ...] = ()
    by_test: tuple[str, ...] = ()

    @property
    def alone(self) -> PlannedSource:
        """The only head of a plan for one source."""
        [head] = self.heads
        return head

    @cached_property
    def at_best(self) -> Mapping[int, PreparedSource]:
        """The heads with their dials where their best stacks want them, by their indices."""
        best = {i: stack for i in self.prepared if (stack := self.heads[i].best)}
        return {i: turned(self.prepared[i], stack.dial) for i, stack in best.items()}

    @property
    def out_of_date(self) -> list[int]:
        """The indices of the heads whose plan was made for something else."""
        return [i for i, head in enumerate(self.heads) if head.outdated]

    @property
    def hung_wrong(self) -> list[int]:
        """The indices of the heads on which something hangs that is not what is wanted now."""
        return [i for i, head in enumerate(self.heads) if head.change]


def turned(bare: PreparedSource, dial: Setting | None) -> PreparedSource:
    """Return a head with its dials at a setting; as it was read without one, or where that is no light."""
    try:
        return bare if dial is None else standing(bare, dial)
    except Unbendable:
        return bare
