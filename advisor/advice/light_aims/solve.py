"""The light of a set, solved for what is asked of it: keys first, then fills, then those with a limit.

Before these comes who is to be brighter or darker than now: that is asked of one source alone.
Fills and limits go by what the key then really gives: if it cannot reach its f-number, the ratio still holds.
Where all sources share one stock, what one takes is not there for the next.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from ...model import Role, Source
from ..learned.light_here import lit_here_each
from ..learned.light_kept import light_behind
from ..overview.f_number import FStop, f_stop
from ..overview.ratios import Ratio, lux_of
from ..plan.head import PlannedSource
from ..plan.plan import Plan
from ..readings.lamp_out import left_while_out
from ..stacks.gel_arrays import GelArrays
from ..stacks.watch import go_on, tell
from ..stock.left import left_beside, sheets_of
from .wanted import LightAims, WantedLight, fill_wanted, key_wanted, most_beside, shared
from .ways import LightWay, LitSource


@dataclass(frozen=True)
class SolvedSource:
    """A source by its index, what it is to give, and the `ways` to that, the least cost first.

    Without a way, `why` says why there is none.
    """

    index: int
    name: str
    wanted: WantedLight
    ways: tuple[LightWay, ...]
    why: str = ""

    @property
    def best(self) -> LightWay | None:
        """The way that costs least."""
        return self.ways[0] if self.ways else None


@dataclass(frozen=True)
class LightSolution:
    """What each source does, and what comes of it; `missing` says what keeps a part from being solved.

    `key` [lx] is what the keys give then, `f_number` what that asks for; `lit` is (key + fill) : fill then.
    None where it is not known.
    """

    sources: tuple[SolvedSource, ...]
    key: float | None
    f_number: FStop | None
    lit: Ratio | None
    missing: tuple[str, ...]


def solve_light(plan: Plan, sources: Sequence[Source], aims: LightAims) -> LightSolution:
    """Solve the light of a plan; `sources` are its sources as they were read, in the plan's order."""
    return _Solving(plan, lit_here_each(left_while_out(sources)), aims).solved()


def lux_now(head: PlannedSource) -> float | None:
    """Return what a head gives now [lx]: behind what hangs, as read where it was; else bare."""
    if head.hangs and head.check and (found := light_behind(head.source, head.check.reading)):
        return found
    if head.hangs and head.chosen and head.chosen.after.lux:
        return head.chosen.after.lux
    return head.source.reading.lux


class _Solving:
    def __init__(self, plan: Plan, sources: Sequence[Source], aims: LightAims) -> None:
        self._plan, self._sources, self._aims = plan, sources, aims
        self._found: dict[int, SolvedSource] = {}
        self._missing: list[str] = []

    def solved(self) -> LightSolution:
        keys, fills = self._of(Role.KEY), self._of(Role.FILL)
        by_key = self._aims.of_all or bool(self._aims.over_key) or not self._aims.than_now
        self._against_now()
        if not keys:
            self._missing += ["No source is the key. Give one that role."] if by_key else []
        elif wanted := key_wanted(self._aims):
            self._together(keys, wanted)
        key = self._sum(keys)
        if keys and key is None and by_key:
            self._missing.append("The key has no lux. Meter it with its lux.")
        if key:
            self._beside(fills, key)
        fill = self._sum(fills)
        lit = Ratio((key + fill) / fill) if key and fill else None
        return LightSolution(
            sources=tuple(self._found[i] for i in sorted(self._found)),
            key=key,
            f_number=f_stop(key, self._aims.exposure) if key else None,
            lit=lit,
            missing=tuple(self._missing),
        )

    def _against_now(self) -> None:
        """Solve those that are to be so much brighter or darker than they are now."""
        for i, stops in self._aims.than_now.items():
            now = None if self._sources[i].lamp_out else lux_now(self._plan.heads[i])
            if now:
                self._solve(i, WantedLight(now * 2.0**stops, exact=True))
            elif not self._sources[i].lamp_out:
                self._missing.append(f"{self._name(i)} has no lux. Meter it with its lux.")

    def _beside(self, fills: Sequence[int], key: float) -> None:
        """Solve what goes by the key: fills for their ratio, all others for their limits."""
        if wanted := fill_wanted(self._aims, key):
            if fills:
                self._together(fills, wanted)
            else:
                self._missing.append("No source is the fill. Give one that role.")
        for i, source in enumerate(self._sources):
            most = most_beside(self._aims, i, source, key)
            if most is not None and i not in self._found and not source.lamp_out:
                self._solve(i, WantedLight(most, exact=False))

    def _of(self, role: Role) -> list[int]:
        return [i for i, source in enumerate(self._sources) if source.role is role and not source.lamp_out]

    def _together(self, indices: Sequence[int], total: float) -> None:
        """Solve several sources for what they are to give together, as they share it now."""
        lux = [self._bare_lux(i) for i in indices]
        if not all(lux):
            self._missing += [f"{self._name(i)} has no lux. Meter it with its lux." for i in indices]
            return
        for i, part in zip(indices, shared(total, [one or 0.0 for one in lux]), strict=True):
            self._solve(i, WantedLight(part, exact=True))

    def _solve(self, i: int, wanted: WantedLight) -> None:
        go_on()
        tell(len(self._found) / len(self._sources))
        plan, source = self._plan, self._sources[i]
        why = self._why_not(i)
        ways: list[LightWay] = []
        if not why and plan.target is not None and plan.gel_arrays is not None:
            ways = LitSource(source, plan.target, self._at_hand(i, plan.gel_arrays), plan.limits).ways(wanted)
            why = "" if ways else "has no lux. Meter it with its lux."
        self._found[i] = SolvedSource(i, source.name, wanted, tuple(ways), why)

    def _why_not(self, i: int) -> str:
        if self._sources[i].aim.leave:
            return "is left as it is."
        return "" if i in self._plan.prepared else "has no answer. See its page."

    def _at_hand(self, i: int, gel_arrays: GelArrays) -> GelArrays:
        """Return the gels that the others leave, where all share one stock."""
        if not self._plan.limits.share_stock:
            return gel_arrays
        taken: list[str] = []
        for k, head in enumerate(self._plan.heads):
            found = self._found.get(k)
            stack = found.best.stack if found and found.best else head.best
            if k != i and stack is not None:
                taken += stack.gels
        return left_beside(sheets_of(taken, gel_arrays), sheets_of((), gel_arrays), gel_arrays)

    def _bare_lux(self, i: int) -> float | None:
        return self._plan.heads[i].source.reading.lux

    def _name(self, i: int) -> str:
        return self._sources[i].name

    def _sum(self, indices: Sequence[int]) -> float | None:
        """Return what sources give together, as solved, else as planned [lx]; None where one is not known."""
        given = [self._lux_then(i) for i in indices]
        return sum(one or 0.0 for one in given) if given and all(given) else None

    def _lux_then(self, i: int) -> float | None:
        found = self._found.get(i)
        if found and found.best:
            return found.best.lux
        return lux_of(self._plan, i, gelled=True) or self._bare_lux(i)
