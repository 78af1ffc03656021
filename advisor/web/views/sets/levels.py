"""How much light each source gives, bare and behind the gels; and how two of them stand to each other."""

from collections.abc import Sequence
from dataclasses import dataclass

from ....advice.learned.light_here import by_distance
from ....advice.overview import ratios
from ....advice.plan.light import swapped_to
from ....advice.plan.plan import Plan
from ....model import Role
from ....store import StoredSet
from ...wording.stacks import out_said
from ...wording.values import breakable, lux
from ..choices import OfferedChoice

_LEAST_LOST = 0.05
"""Less is written as nothing. [stop]"""


@dataclass(frozen=True)
class LevelCell:
    """An illuminance and how it stands to the key, in stops, empty where that is not known."""

    lux: str
    against_key: str
    as_read: bool = False


@dataclass(frozen=True)
class LevelRow:
    """A source in the table; a cell bare, and one behind the gels. `lost` is in stops."""

    name: str
    cells: tuple[LevelCell, ...]
    lost: str


@dataclass(frozen=True)
class LevelsTable:
    """Every source, and what is said below the table."""

    columns: tuple[str, ...]
    rows: tuple[LevelRow, ...]
    hint: str


@dataclass(frozen=True)
class StandsTo:
    """How one source stands to another: “1.3 stops over” and what follows that."""

    words: str
    rest: str


@dataclass(frozen=True)
class TwoSources:
    """The ratio of two sources, and what can be chosen for each; where there is none, `missing` says why."""

    first: str
    stands: tuple[StandsTo, ...]
    missing: str
    firsts: tuple[OfferedChoice, ...]
    seconds: tuple[OfferedChoice, ...]


def levels_of(now: StoredSet, plan: Plan, names: Sequence[str]) -> LevelsTable | None:
    """Return the table of all sources, None where there is none; `names` says what stages there are."""
    if not plan.heads:
        return None
    hint = "Lost: in stops."
    if ratios.of_role(plan, Role.KEY, gelled=len(names) > 1).whole:
        hint += " Below each illuminance: stops against the key."
    return LevelsTable(
        columns=("Bare", "Behind the gels")[: len(names)],
        rows=tuple(
            LevelRow(
                name=f"{stored.number} {plan.heads[i].source.name}",
                cells=tuple(_cell(plan, i, gelled=gelled) for gelled in (False, True)[: len(names)]),
                lost=_lost(plan, i),
            )
            for i, stored in enumerate(now.sources)
        ),
        hint=hint,
    )


def _cell(plan: Plan, i: int, *, gelled: bool) -> LevelCell:
    level, ratio = ratios.lux_of(plan, i, gelled=gelled), ratios.against_key(plan, i, gelled=gelled)
    check = plan.heads[i].check
    as_read = gelled and not swapped_to(plan.heads[i]) and check is not None and bool(check.reading.lux)
    if level is None:
        return LevelCell(_unlit(plan, i) or "no lux", "", as_read)
    about = "about " if not as_read and by_distance(plan.heads[i].source) else ""
    return LevelCell(about + breakable(lux(level)), ratio.signed if ratio else "", as_read)


def _lost(plan: Plan, i: int) -> str:
    head = plan.heads[i]
    if not head.best or head.source.lamp_out:
        return ""
    swapped = swapped_to(head)
    lost = swapped.stops if swapped else head.lost
    return f"{lost:.1f}" if lost >= _LEAST_LOST else "0"


def two_sources(
    now: StoredSet, plan: Plan, names: Sequence[str], asked: Sequence[int | None]
) -> TwoSources | None:
    """Return how two sources stand to each other, None where there are no two.

    `asked` are the ids of two; else it is a key and a fill, or what there is.
    """
    if len(now.sources) < 2:
        return None
    first, second = _pair(plan, [stored.id for stored in now.sources], asked)
    stands = [
        (found, name)
        for k, name in enumerate(names)
        if (found := ratios.between(plan, first, second, gelled=k > 0))
    ]
    each = zip(stands, (_name(plan, second), "it"), strict=False)
    return TwoSources(
        first=_name(plan, first),
        stands=tuple(StandsTo(one.words, f" {who} {name} ({one.text})") for (one, name), who in each),
        missing="" if stands else _missing(plan, first, second),
        firsts=_choices(now, first),
        seconds=_choices(now, second),
    )


def _pair(plan: Plan, ids: Sequence[int], asked: Sequence[int | None]) -> tuple[int, int]:
    roles = [head.source.role for head in plan.heads]
    key = roles.index(Role.KEY) if Role.KEY in roles else 0
    other = 1 if key == 0 else 0
    fill = roles.index(Role.FILL) if Role.FILL in roles else other
    first, second = (ids.index(one) if one in ids else None for one in asked)
    return key if first is None else first, fill if second is None else second


def _missing(plan: Plan, first: int, second: int) -> str:
    dark = [i for i in dict.fromkeys((first, second)) if not ratios.lux_of(plan, i, gelled=False)]
    said = [f"{_name(plan, i)} {_unlit(plan, i) or 'without lux'}" for i in dark]
    return f"No ratio of {_name(plan, first)} to {_name(plan, second)}: {' and '.join(said)}."


def _unlit(plan: Plan, i: int) -> str:
    """Say that a source gives no light; empty where it does."""
    source = plan.heads[i].source
    return out_said(source) if source.lamp_out else ""


def _name(plan: Plan, i: int) -> str:
    return plan.heads[i].source.name


def _choices(now: StoredSet, chosen: int) -> tuple[OfferedChoice, ...]:
    return tuple(
        OfferedChoice(str(stored.id), stored.source.name, i == chosen) for i, stored in enumerate(now.sources)
    )
