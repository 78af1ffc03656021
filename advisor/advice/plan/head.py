"""A source in a plan: what is advised, decided and found, and how far the work has come."""

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, replace
from functools import cached_property
from math import log2

from ...model import Kind, KindQuestion, Problem, Reading, Seen, Source, SourceAdvice, StackAdvice, Stage
from ..after_hanging.check import Check
from ..after_hanging.next_move import Swap
from ..dials.turned_since import TurnedSince
from ..learned.light_here import read_here
from ..learned.light_now import ChangedLight
from ..ranking.first_line import first_line, metered_first
from ..readings.chromaticity import WhitePoint
from ..wording.outlook import NEAR, same_stack


@dataclass(frozen=True, eq=False)
class PlannedSource:
    """A source in a plan.

    The reading:

    - `source` has the reading as it is used. `white` is its white, None if it has none, and `loci` say where
      that lies against either locus. `notes` are what a person has to know of the reading.
    - `worked_out` is true if nobody read it as it is used: it was interpolated, or read in its test.
    - `left_out` are readings behind gels that count for nothing until somebody says which gel hung.
    - `other_day` is true for daylight that was read last on another day: it is metered first.
    - `changed` is between which readings its light changed; `source` then has only what was read since.
      `bare_changed` says what it read bare before that, where it was read bare since.

    The advice:

    - `advice` says what to hang; without it, `problems` say why nothing can be said.
    - `dialled` is what the dials alone do, if they go before a first stack with gel.
    - `beyond` is the nearest that gel brings the source, if it is out of reach. `ungelled` is what it then is
      with nothing but the gels it keeps.

    The decision, if there is one:

    - `chosen` is what the stack does that somebody decided on. `check` is what was found behind it, as it is
      used.
    - `known` is true if `chosen` rests on what was known when it was decided, as after a swap or from the day
      before, and not on the bare reading alone. `before` is the reading of the day before, if `chosen` rests
      on it.
    - `again` says why to read it again, if it was read at another level, with another modifier, or before its
      light changed.
    - `change` is what to do to a stack that hangs unread, if what is wanted has changed since. `instead` is
      the change from what hangs to what somebody planned in its place.
    - `turned` says how it was read last, where its dials were turned since they were set.
    - `unlike_test` is true if what was read behind its gels does not come from the light of its test, and
      nobody read it bare here.
    - `gel_on` is the stack behind which its bare reading reads as if it was taken.
    - `outdated` is true if a stack that is planned, and does not hang, was decided for another white or
      another reading. `over` says which limit the decision is over.
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
    changed: ChangedLight | None = None
    bare_changed: str = ""
    other_day: bool = False
    unlike_test: bool = False
    gel_on: StackAdvice | None = None
    turned: TurnedSince | None = None

    @cached_property
    def out(self) -> bool:
        """Whether gel cannot bring it in, and nobody decided to hang some all the same."""
        return self.beyond is not None and self.source.work is None

    @cached_property
    def first(self) -> StackAdvice | None:
        """The stack that is advised: what it gets of a shared stock, else that of the ranking (`first_line`).

        What was decided takes its part whatever is advised: then the ranking goes by what the others leave.
        The dials of an adjustable head go before gel (`dials_first`).
        """
        if self.advice is None:
            return None
        if self.dialled:
            return self.dialled
        if self.advice.allocated and self.source.work is None:
            return self.advice.allocated.stack
        first = first_line(self.advice.stacks, self.advice.least_stops)
        return first if self.source.work else metered_first(first, self.advice.stacks)

    @cached_property
    def asks(self) -> KindQuestion | None:
        """What to ask before anything is hung; None once somebody decided, or wants it left as it is."""
        decided = self.source.work is not None or self.source.aim.leave
        return self.advice.asks if self.advice and not decided else None

    @cached_property
    def listed_near(self) -> tuple[StackAdvice, ...]:
        """The stacks of its list that are likely near enough, but for what hangs."""
        stacks = self.advice.stacks if self.advice else []
        hung = self.chosen if self.hangs else None
        return tuple(s for s in stacks if s.miss.seen in NEAR and not (hung and same_stack(s, hung)))

    def metered_as(self, stack: StackAdvice) -> bool:
        """Whether a stack of its list is what hangs, and was read, so that no prediction counts for it."""
        hung = self.chosen if self.check else None
        return hung is not None and same_stack(hung, stack)

    @cached_property
    def dials_unknown(self) -> bool:
        """Whether nobody noted its dial setting. Dials go before gel, so that is read first."""
        if self.source.reach is None or self.advice is None or self.source.work or self.source.aim.leave:
            return False
        return not any(stack.dial for stack in self.advice.stacks)

    @cached_property
    def answered(self) -> bool:
        """Whether nothing has to be asked or read before anything is hung."""
        return not (self.asks or self.dials_unknown or self.other_day)

    @cached_property
    def best(self) -> StackAdvice | None:
        """The stack to hang: what was decided, else what is advised.

        If gel cannot bring it in, nobody climbs to hang any: then it is the head without added gel.
        """
        if self.out:
            return self.ungelled
        barred = self.outdated and self.source.no_gel is not None
        return self.first if barred else self.chosen or self.first

    @cached_property
    def first_now(self) -> StackAdvice | None:
        """What is advised now in the place of a plan that is out of date; None of any other."""
        return self.first if self.outdated and self.answered and not self.out else None

    @cached_property
    def as_told(self) -> "PlannedSource":
        """The head as its page tells it: a plan that is out of date gives way to what is advised now."""
        return replace(self, chosen=self.first_now, before=None) if self.first_now else self

    @cached_property
    def fixed(self) -> tuple[str, ...]:
        """The gels of `best` that are on it anyway."""
        return tuple(self.fixed_in(self.best.gels if self.best else ()).elements())

    @cached_property
    def to_hang(self) -> tuple[str, ...]:
        """The gels of `best` that hands must hang, or hung: all but those that are `fixed`."""
        return tuple((Counter(self.best.gels if self.best else ()) - Counter(self.fixed)).elements())

    def fixed_in(self, gels: Iterable[str]) -> Counter[str]:
        """Return which of some gels are on it anyway: its fixed ones, while nothing else was hung."""
        return Counter() if self.hangs else Counter(gels) & Counter(self.source.keep)

    @cached_property
    def stage(self) -> Stage | None:
        """How far the work on it has come as it is used; None while it is bare.

        A confirmed stack goes back to hung if it has to be read again, if it is no longer what is wanted, if
        its dials were turned since, or if somebody planned another one in its place.
        """
        work = self.source.work
        if work is None or not work.hangs:
            return work.stage if work else None
        if self.instead or self.turned:
            return Stage.HUNG
        if self.check:
            return Stage.CONFIRMED if self.check.settled else Stage.HUNG
        return Stage.HUNG if self.again or self.change else work.stage

    @cached_property
    def swap(self) -> Swap | None:
        """What to change in what hangs; None if there is nothing to change, or nobody knows what."""
        if self.instead:
            return self.instead
        if self.check:
            return None if self.unlike_test and self.bare_first else self.check.swap
        return self.change

    @cached_property
    def bare_first(self) -> bool:
        """Whether it is metered bare before gel is moved.

        So it is where its daylight moved and nothing here does better, and where it is not as tested.
        """
        check = self.check
        if check is None or self.instead:
            return False
        if self.unlike_test:
            return not check.settled and (check.lamp_first or not check.odd)
        if self.source.kind is not Kind.DAYLIGHT or self.swap is None:
            return False
        moved = check.sky_moved or (check.lit_anew and self.worked_out)
        return moved and not (check.other_sign or self.swap.some)

    @property
    def asks_bare(self) -> bool:
        """Whether a bare reading is asked for, although something hangs."""
        return self.bare_first or (self.check is not None and self.check.asks_bare)

    @cached_property
    def off_as_decided(self) -> bool:
        """Whether somebody left it as it hangs, or bare, and that is plainly off what is wanted."""
        decided = self.stage is Stage.CONFIRMED or (self.hangs and not (self.to_hang or self.source.reach))
        return decided and self.source.aim.plain and self.seen is not None and self.seen not in NEAR

    @cached_property
    def closest_hangs(self) -> bool:
        """Whether what hangs is the closest that is here: nothing is to be checked, and nothing changed."""
        if self.swap is None or self.swap.some:
            return False
        return not ((self.check and self.check.odd) or self.bare_first or self.listed_near)

    @cached_property
    def due(self) -> Swap | None:
        """The change to make now to what hangs; None if there is none, or if it has to be read first."""
        if self.other_day:
            return None
        return self.swap if self.swap and self.swap.some else None

    @cached_property
    def seen(self) -> Seen | None:
        """What the eye makes of it beside what is wanted: as read behind what hangs, else as predicted."""
        if self.turned:
            return self.turned.seen
        if self.check:
            return self.check.seen
        return self.best.miss.seen if self.best else None

    @cached_property
    def as_before(self) -> bool:
        """Whether the reading of the day before still holds, because the lamp reads bare as it did then."""
        work = self.source.work
        return self.before is not None and work is not None and work.read_bare == self.source.reading

    @cached_property
    def advised_before(self) -> bool:
        """Whether the plan of the day before is what is advised: without it only what was read would go."""
        if self.before is None or self.chosen is None or self.first is None or self.hangs:
            return False
        return same_stack(self.chosen, self.first)

    @cached_property
    def lost(self) -> float:
        """Light lost behind `best`: as read where bare and behind were read, else as predicted. [stop]

        If `chosen` rests on the day before, it loses what it lost then, and has the CCT it had then.
        """
        read, work = self.source.reading, self.source.work
        if self.check and work and self.source.kind is Kind.DAYLIGHT:
            read = work.read_bare or read  # what was read behind gel is of the daylight before that
        bare, here = read.lux, read_here(self.source, read)
        if self.check and self.check.reading.lux and bare and here:
            return log2(bare / self.check.reading.lux)
        if self.before and bare and self.chosen is not None and self.best is self.chosen:
            return log2(bare / self.chosen.after.lux) if self.chosen.after.lux else self.chosen.stops
        return self.best.stops if self.best else 0.0

    @cached_property
    def hangs(self) -> bool:
        """Whether `best` hangs already. The decision itself may no longer be a possible stack."""
        return self.chosen is not None and self.stage in (Stage.HUNG, Stage.CONFIRMED)
