"""A source in a plan: what is advised, what was decided and found, and how far the work on it has come."""

from dataclasses import dataclass
from math import log2

from ...model import KindQuestion, Problem, Reading, Seen, Source, SourceAdvice, StackAdvice, Stage
from ..after_hanging.check import Check
from ..after_hanging.next_move import Swap
from ..readings.chromaticity import WhitePoint


@dataclass(frozen=True, eq=False)
class PlannedSource:
    """A source in a plan.

    `source` has what it reads as it is used; `white` is that, None where it is no white, and `loci` say where
    it lies against either locus. `advice` or `problems` say what to hang, or why nothing can be said, and
    `notes` what a person has to know of the reading. Where somebody decided what to hang, `chosen` is what
    that does, and `check` what was found behind it as it is used. `again` says why it has to be read again,
    where it was read otherwise than it is used; `change` is what to do to what hangs unread, where what is
    wanted changed since. `beyond` is the nearest that gel brings it where that is out of reach, and
    `ungelled` what it is then with no more than what it keeps. `before` is what was read the day before
    behind what is planned again, where `chosen` goes by that. `known` says that `chosen` goes by what was
    known when it was decided, as after a swap or the day before, not by the bare reading alone. `worked_out`
    says that what it reads as it is used was not read so, but lies between or beyond its readings. `outdated`
    says that what is planned, and does not hang, was decided for another white or another reading. `over`
    says which limit what was decided is over, where it is. `dialled` is what its dials alone do, where they
    go before a first stack with gel. `instead` is the change of what hangs to what somebody planned in its
    place. `left_out` are readings behind gels that count for nothing until somebody says which gel hung.
    """

    source: Source
    white: WhitePoint | None = None
    loci: tuple[str, ...] = ()
    advice: SourceAdvice | None = None
    problems: tuple[Problem, ...] = ()
    notes: tuple[str, ...] = ()
    chosen: StackAdvice | None = None
    check: Check | None = None
    again: str = ""
    change: Swap | None = None
    beyond: StackAdvice | None = None
    ungelled: StackAdvice | None = None
    before: Reading | None = None
    known: bool = False
    worked_out: bool = False
    outdated: bool = False
    over: str = ""
    dialled: StackAdvice | None = None
    instead: Swap | None = None
    left_out: tuple[Reading, ...] = ()

    @property
    def out(self) -> bool:
        """Whether gel cannot bring it in, and nobody decided otherwise."""
        return self.beyond is not None and self.source.work is None

    @property
    def first(self) -> StackAdvice | None:
        """The stack that is advised: what it gets of a shared stock, else the first in the ranking.

        The dials of an adjustable head go before gel (`dials_first`).
        """
        if self.advice is None:
            return None
        if self.dialled:
            return self.dialled
        return self.advice.allocated.stack if self.advice.allocated else self.advice.stacks[0]

    @property
    def asks(self) -> KindQuestion | None:
        """What to ask before anything is hung; None once somebody decided, or meant it to stay as it is."""
        decided = self.source.work is not None or self.source.aim.leave
        return self.advice.asks if self.advice and not decided else None

    @property
    def dials_unknown(self) -> bool:
        """Whether nobody noted how its dials stood: they go before gel, so they are to be read first."""
        if self.source.reach is None or self.advice is None or self.source.work or self.source.aim.leave:
            return False
        return not any(stack.dial for stack in self.advice.stacks)

    @property
    def answered(self) -> bool:
        """Whether nothing has to be asked or read before anything is hung."""
        return not (self.asks or self.dials_unknown)

    @property
    def best(self) -> StackAdvice | None:
        """The stack to hang: what was decided, else what is advised.

        Where gel cannot bring it in, nobody climbs to hang any: then it is what the head has without.
        """
        if self.out:
            return self.ungelled
        barred = self.outdated and self.source.no_gel is not None
        return self.first if barred else self.chosen or self.first

    @property
    def stage(self) -> Stage | None:
        """How far the work on it has come as it is used; None while it is bare.

        What was confirmed is only hung where it is to be read again, or is no longer what is wanted, or where
        somebody planned another one instead.
        """
        work = self.source.work
        if work is None or not work.hangs:
            return work.stage if work else None
        if self.instead:
            return Stage.HUNG
        if self.check:
            return Stage.CONFIRMED if self.check.settled else Stage.HUNG
        return Stage.HUNG if self.again or self.change else work.stage

    @property
    def swap(self) -> Swap | None:
        """What to change of what hangs; None where nothing is to be, or nobody knows what."""
        if self.instead:
            return self.instead
        return self.check.swap if self.check else self.change

    @property
    def due(self) -> Swap | None:
        """The change of what hangs that is to be made; None where nothing is to be changed."""
        return self.swap if self.swap and self.swap.some else None

    @property
    def seen(self) -> Seen | None:
        """What the eye makes of it beside what is wanted: as read behind what hangs, else as predicted."""
        if self.check:
            return self.check.seen
        return self.best.miss.seen if self.best else None

    @property
    def as_before(self) -> bool:
        """Whether what goes by the day before is what was read then: the lamp reads bare as it did."""
        work = self.source.work
        return self.before is not None and work is not None and work.read_bare == self.source.reading

    @property
    def lost(self) -> float:
        """Light lost behind `best`: as read where bare and behind were read, else as predicted. [stop]

        What goes by the day before loses what it lost then, like its CCT.
        """
        bare = self.source.reading.lux
        if self.check and self.check.reading.lux and bare:
            return log2(bare / self.check.reading.lux)
        if self.before and bare and self.chosen is not None and self.best is self.chosen:
            return log2(bare / self.chosen.after.lux) if self.chosen.after.lux else self.chosen.stops
        return self.best.stops if self.best else 0.0

    @property
    def hangs(self) -> bool:
        """Whether `best` is what hangs already: what was decided may be no stack any more."""
        return self.chosen is not None and self.stage in (Stage.HUNG, Stage.CONFIRMED)
