"""How much light falls where: levels, ratios and stops against the key, bare and behind the gels.

Everything is asked for with `gelled`: False is the bare light, True the light behind what the plan hangs, as
read where that was read; then a head without advice counts as it is. Illuminances add up (CIE 17: illuminance
is additive).
"""

import math
from collections.abc import Callable
from dataclasses import dataclass

from ...model import Kind, Role, Source
from ...model.basis.quantities import tidy
from ...model.sets.phrases import counted, signed
from ..answer.key_limit import EVEN
from ..learned.light_kept import light_behind
from ..plan.light import swapped_to, swaps_due
from ..plan.plan import Plan


@dataclass(frozen=True)
class Ratio:
    """How one light stands to another: `value` is the first over the second, above 0."""

    value: float

    @property
    def stops(self) -> float:
        """How far the first stands over the second; below zero, under it. [stop]"""
        return math.log2(self.value)

    @property
    def even(self) -> bool:
        """Whether the two cannot be told apart."""
        return abs(self.stops) < EVEN

    @property
    def text(self) -> str:
        """Write the ratio as a crew does: 4:1, 2.5:1, 1:3."""
        high = max(self.value, 1.0 / self.value)
        shown = tidy(round(high, 0 if high >= 9.95 else 1))
        return f"{shown}:1" if self.value >= 1.0 else f"1:{shown}"

    @property
    def words(self) -> str:
        """Say how the first stands to the second: “1.3 stops over”, “even with”."""
        if self.even:
            return "even with"
        return f"{counted(round(abs(self.stops), 1), 'stop')} {'over' if self.stops > 0 else 'under'}"

    @property
    def signed(self) -> str:
        """Write the stops with their sign, for a table: +1.2, −0.8, 0."""
        return "0" if self.even else signed(round(self.stops, 1))


@dataclass(frozen=True)
class Sum:
    """The light of several sources: `lux` [lx] of those that have a reading of it, None where none has.

    `names` are all the sources meant; `missing` those among them that have no lux.
    """

    lux: float | None
    names: tuple[str, ...]
    missing: tuple[str, ...]

    @property
    def whole(self) -> float | None:
        """The sum where nothing is missing from it. [lx]"""
        return None if self.missing else self.lux


@dataclass(frozen=True)
class KeyToFill:
    """The key-to-fill ratio: `lit` is (key + fill) : fill, the lit side to the fill side; `alone` key : fill.

    (key + fill) : fill is what the trade calls the key-to-fill ratio (common practice, no source). Both are
    None where `missing` says what is not known.
    """

    lit: Ratio | None
    alone: Ratio | None
    missing: str = ""


@dataclass(frozen=True)
class OverKey:
    """A source that may stand only `limit` stops over the key: where it stands, and whether it keeps that."""

    i: int
    name: str
    limit: float
    now: Ratio | None
    gelled: Ratio | None
    words: str

    @property
    def keeps(self) -> bool | None:
        """Whether it keeps its limit once the plan hangs, or bare where there is no plan; None: not known."""
        last = self.gelled or self.now
        return None if last is None else last.stops < self.limit + EVEN


def planned(plan: Plan) -> bool:
    """Whether the plan hangs anything, if only the decision to leave a head bare."""
    return any(head.best is not None for head in plan.heads)


def then(plan: Plan) -> str:
    """Say when the light is behind its gels: it is already, or will be once all hangs and is swapped."""
    if all_hang(plan) and (count := _swaps(plan)):
        return "after the swap" if count == 1 else "after the swaps"
    return "behind the gels" if all_hang(plan) else "with gels"


def _swaps(plan: Plan) -> int:
    """Count the heads on which what hangs is to be swapped."""
    return len(swaps_due(plan, range(len(plan.heads))))


def settled(plan: Plan) -> bool:
    """Whether all of the plan hangs, and nothing of it is to be changed."""
    return all_hang(plan) and not _swaps(plan)


def all_hang(plan: Plan) -> bool:
    """Whether nothing of the plan is left to hang."""
    return all(head.hangs or head.best is None for head in plan.heads)


def lux_of(plan: Plan, i: int, *, gelled: bool) -> float | None:
    """Return the illuminance [lx] of the `i`-th head; None where it has none, or nothing is planned.

    One whose lamp is out has none. What was read behind what hangs counts also where nobody read it bare.
    """
    head = plan.heads[i]
    lux = head.source.reading.lux
    if head.source.lamp_out or (gelled and not planned(plan)):
        return None
    swapped = swapped_to(head)
    stack = swapped or head.best
    if not gelled or stack is None:
        return lux
    if not swapped and head.check and (found := light_behind(head.source, head.check.reading)):
        return found
    if lux is None:  # what was read behind the same stack before stands, whatever the bare light is
        return stack.after.lux or (stack.read.lux if stack.read else None)
    # What the advice shows is rounded to a hundredth of a lux, which can leave nothing of a faint light.
    return stack.after.lux or lux * 2.0**-stack.stops


def total(plan: Plan, which: Callable[[Source], bool], *, gelled: bool) -> Sum:
    """Add up the light of the sources for which `which` holds, and whose lamps are not out."""
    meant = [i for i, head in enumerate(plan.heads) if which(head.source) and not head.source.lamp_out]
    names = tuple(plan.heads[i].source.name for i in meant)
    if gelled and not planned(plan):
        return Sum(None, names, ())
    found = {i: lux_of(plan, i, gelled=gelled) for i in meant}
    known = [lux for lux in found.values() if lux is not None]
    missing = tuple(plan.heads[i].source.name for i, lux in found.items() if lux is None)
    return Sum(math.fsum(known) if known else None, names, missing)


def at_subject(plan: Plan, *, gelled: bool) -> Sum:
    """Add up the light of the sources that fall on the subject."""
    return total(plan, lambda source: source.lights_subject, gelled=gelled)


def of_role(plan: Plan, role: Role, *, gelled: bool) -> Sum:
    """Add up the light of the sources of a role."""
    return total(plan, lambda source: source.role is role, gelled=gelled)


def key_to_fill(plan: Plan, *, gelled: bool) -> KeyToFill:
    """Return the key-to-fill ratio; several keys, and several fills, add up."""
    key, fill = of_role(plan, Role.KEY, gelled=gelled), of_role(plan, Role.FILL, gelled=gelled)
    if key.whole is None or fill.whole is None:
        lacking = _lacking(plan, key, Role.KEY) + _lacking(plan, fill, Role.FILL)
        return KeyToFill(None, None, ", ".join(lacking))
    return KeyToFill(Ratio((key.whole + fill.whole) / fill.whole), Ratio(key.whole / fill.whole))


def between(plan: Plan, first: int, second: int, *, gelled: bool) -> Ratio | None:
    """Return how the `first` head stands to the `second`; None where one of the two has no lux."""
    one, other = (lux_of(plan, i, gelled=gelled) for i in (first, second))
    return None if one is None or other is None else Ratio(one / other)


def against_key(plan: Plan, i: int, *, gelled: bool) -> Ratio | None:
    """Return how the `i`-th head stands to the key; None where it or the key has no lux."""
    lux, key = lux_of(plan, i, gelled=gelled), of_role(plan, Role.KEY, gelled=gelled).whole
    return None if lux is None or key is None else Ratio(lux / key)


def over_key(plan: Plan) -> list[OverKey]:
    """Return the sources that may stand only so many stops over the key, in the plan's order."""
    found = []
    for i, head in enumerate(plan.heads):
        limit = head.source.over_key
        if limit is None or head.source.lamp_out:
            continue
        if head.source.role is Role.KEY:  # a key keeps no limit of its own (`key_limit`)
            continue
        now, gelled = (against_key(plan, i, gelled=stage) for stage in (False, True))
        lacking = _lacking(plan, of_role(plan, Role.KEY, gelled=False), Role.KEY)
        if head.source.reading.lux is None:
            lacking.insert(0, f"{head.source.name} has no lux")
        bare = OverKey(i, head.source.name, limit, now, gelled, ", ".join(lacking))
        found.append(
            bare
            if now is None
            else OverKey(i, bare.name, limit, now, gelled, _kept_said(bare, now, then(plan)))
        )
    return found


def dark(source: Source) -> str:
    """Say of a source whose lamp is out why it gives no light: daylight has no lamp."""
    return "has no light now" if source.kind is Kind.DAYLIGHT else "has its lamp out"


def _lacking(plan: Plan, part: Sum, role: Role) -> list[str]:
    """Say what stands in the way of the light of a role."""
    if not part.names:
        out = [head.source for head in plan.heads if head.source.role is role and head.source.lamp_out]
        if out:
            return [f"the {role}, {source.name}, {dark(source)}" for source in out]
        return [f"no source is the {role}"]
    return [f"the {role}, {name}, has no lux" for name in part.missing]


def _kept_said(one: OverKey, bare: Ratio, when: str) -> str:
    stands = f"{bare.words} the key bare"
    if one.gelled is not None:
        stands += f", {one.gelled.words} it {when}"
    limit = f"{counted(abs(one.limit), 'stop')} {'under' if one.limit < 0 else 'over'}"
    if one.keeps:
        return f"{stands}: within its limit of {limit}"
    beyond = (one.gelled or bare).stops - one.limit
    return f"{stands}: {counted(round(beyond, 1), 'stop')} more than its limit of {limit}"
