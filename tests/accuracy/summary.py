"""The figures of the check, and the tables that show them beside their goals."""

from collections.abc import Callable, Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from advisor.colour.observer.data import Array
from tests.accuracy.chance import Chances, Tenth, tenths
from tests.accuracy.filters import DyeSet
from tests.accuracy.lamps import Lamp
from tests.accuracy.regret import TARGETS, Regret, regret
from tests.accuracy.trials import Knows, Trial, trial

Chosen = NDArray[np.bool_]
"""Which of the lamps, (lamps,)."""
MEDIAN, NINETIETH, NINETIETH_WITH_FIGURES = 0.0008, 0.0040, 0.0030
"""Goals for the error of a prediction, at most. [Δu′v′]"""
INSIDE = (0.87, 0.93)
"""Goal for the share of true outcomes within the stated 90 %."""
REGRET_MEDIAN, REGRET_NINETIETH = 0.0005, 0.0030
"""Goals for the regret, at most. [Δu′v′]"""


class Spread(NamedTuple):
    """A figure: its mean over the sets of dyes, and the least and the most among them."""

    mean: float
    least: float
    most: float


def measure(
    lamps: Sequence[Lamp], dye_sets: Sequence[DyeSet], knows: Knows, *, leave_out: bool = True
) -> Trial:
    """Try all lamps with all dyes; the arrays become (sets, lamps, 16)."""
    tried = [[trial(lamp, dyes, knows, leave_out=leave_out) for lamp in lamps] for dyes in dye_sets]
    return Trial(*(np.array([[t[k] for t in row] for row in tried]) for k in range(3)))


def measure_regret(lamps: Sequence[Lamp], dye_sets: Sequence[DyeSet], layers: int, knows: Knows) -> Regret:
    """Work out the regret of all lamps with all dyes; the arrays become (sets, lamps, targets)."""
    found = [regret(lamps, dyes, layers, knows) for dyes in dye_sets]
    return Regret(*(np.array([r[k] for r in found]) for k in range(len(Regret._fields))))


def spread(values: Array, figure: Callable[[Array], float]) -> Spread:
    """Work a figure out for each set of dyes, the first axis of `values`."""
    each = [figure(of_set) for of_set in values]
    return Spread(float(np.mean(each)), min(each), max(each))


def median(values: Array) -> float:
    """Return the median of all that is a number."""
    return float(np.nanmedian(values))


def ninetieth(values: Array) -> float:
    """Return the 90th percentile of all that is a number."""
    return float(np.nanquantile(values, 0.9))


def inside(tried: Trial, chosen: Chosen) -> Spread:
    """Return the share of true outcomes within what was stated."""
    return spread((tried.error <= tried.stated)[:, chosen], lambda within: float(within.mean()))


class Table(NamedTuple):
    """Cells as text below a heading."""

    title: str
    heading: tuple[str, ...]
    rows: list[tuple[str, ...]]

    def markdown(self) -> str:
        """Write the table as Markdown, its title a line before it."""
        lines = [self.heading, ("---",) + ("---:",) * (len(self.heading) - 1), *self.rows]
        return f"{self.title}\n\n" + "\n".join("| " + " | ".join(line) + " |" for line in lines)

    def text(self) -> str:
        """Write the table for a terminal."""
        lines = [self.heading, *self.rows]
        widths = [max(map(len, column)) for column in zip(*lines, strict=True)]
        padded = (
            "  ".join(
                [line[0].ljust(widths[0]), *(c.rjust(w) for c, w in zip(line[1:], widths[1:], strict=True))]
            )
            for line in lines
        )
        return f"{self.title}\n\n" + "\n".join(line.rstrip() for line in padded)


def main_table(tried: dict[Knows, Trial], everything: dict[Knows, Trial], odd: Chosen) -> Table:
    """Set the error and the stated interval beside their goals.

    `everything` is without leaving out the archetypes that are the tested lamp itself.
    """
    rows = []
    for name, figure, goals in (
        ("median error", median, {Knows.READING: MEDIAN}),
        ("90th percentile", ninetieth, {Knows.READING: NINETIETH, Knows.FIGURES: NINETIETH_WITH_FIGURES}),
    ):
        for knows in Knows:
            three = [
                spread(of.error[:, chosen], figure) for of, chosen in _three(tried, everything, knows, odd)
            ]
            plain = _colour(spread(tried[knows].plain[:, odd], figure).mean)
            goal = f"≤ {goals[knows]:.4f}" if knows in goals else ""
            rows.append((_told(name, knows), plain, goal, *_cells(*three, _colour)))
    for knows in Knows:
        three = [inside(of, chosen) for of, chosen in _three(tried, everything, knows, odd)]
        goal = f"{INSIDE[0]} to {INSIDE[1]}" if knows in (Knows.READING, Knows.FIGURES) else ""
        cells = _cells(*three, _share)
        rows.append((_told("share inside the stated 90 %", knows), "none stated", goal, *cells))
    for knows in Knows:
        three = [spread(of.stated[:, chosen], median) for of, chosen in _three(tried, everything, knows, odd)]
        cells = _cells(*three, _colour)
        rows.append((_told("median of the stated radius", knows), "none stated", "", *cells))
    columns = ("odd rows", "range over dyes", "even rows", "odd, none left out")
    counted = f"{odd.sum()} odd rows, {(~odd).sum()} even rows, 16 gels each"
    heading = ("figure", "plain arithmetic", "goal", *columns)
    return Table(f"Error of the prediction in Δu′v′ ({counted})", heading, rows)


def _three(
    tried: dict[Knows, Trial], everything: dict[Knows, Trial], knows: Knows, odd: Chosen
) -> tuple[tuple[Trial, Chosen], ...]:
    """Return what the three columns show: the odd rows, the even ones, and the odd with nothing left out."""
    return (tried[knows], odd), (tried[knows], ~odd), (everything[knows], odd)


def _told(figure: str, knows: Knows) -> str:
    return figure if knows is Knows.READING else f"{figure}, {knows.value}"


def kinds_table(tried: dict[Knows, Trial], lamps: Sequence[Lamp]) -> Table:
    """Show the odd rows by kind, and those that were measured, not computed."""
    odd = np.array([lamp.odd for lamp in lamps])
    groups = {str(kind): np.array([lamp.kind is kind for lamp in lamps]) for kind in _kinds(lamps)}
    groups["all kinds"] = np.ones(len(lamps), dtype=np.bool_)
    groups["measured lamps alone"] = np.array([not lamp.theoretical for lamp in lamps])
    rows = []
    for name, members in groups.items():
        chosen = members & odd
        if not chosen.any():
            continue
        cells = [_pair(tried[Knows.READING].plain, chosen)]
        cells += [_pair(tried[knows].error, chosen) for knows in Knows]
        cells += [_share(inside(tried[knows], chosen).mean) for knows in (Knows.READING, Knows.FIGURES)]
        rows.append((name, str(chosen.sum()), *cells))
    told = [knows.value for knows in Knows]
    heading = ("kind", "rows", "plain arithmetic", *told, "inside 90 %", "inside, with Ra and R9")
    return Table("By kind, odd rows: median / 90th percentile of Δu′v′", heading, rows)


def regret_table(found: dict[tuple[int, Knows], Regret], odd: Chosen) -> Table:
    """Set the regret, median / 90th percentile, beside its goal."""
    rows = []
    goal = f"≤ {REGRET_MEDIAN:.4f} / {REGRET_NINETIETH:.4f}"
    for (layers, knows), r in found.items():
        for label, chosen, plain, best, aim in (
            ("ranked first, against the least true miss", r.first, r.plain, r.least, goal),
            ("ranked first, against the first from the spectrum", r.first, r.plain, r.knowing, goal),
            ("least expected miss, against the least true miss", r.nearest, None, r.least, ""),
        ):
            by_labels = "" if plain is None else _pair(plain - best, odd)
            told = f"{layers} layers, {knows.value}: {label}"
            rows.append((told, by_labels, aim, _pair(chosen - best, odd), _pair(chosen - best, ~odd)))
    heading = ("regret", "plain arithmetic", "goal", "odd rows", "even rows")
    return Table(f"Regret in Δu′v′, {len(TARGETS)} targets: median / 90th percentile", heading, rows)


def chance_table(found: Chances) -> Table:
    """Set the share that truly lands within the tolerance beside the chance that was stated.

    Behind each share stands its standard error by lamp.
    """
    odd, even = (tenths(found, chosen) for chosen in (found.odd, ~found.odd))
    firsts = tenths(found, found.odd & found.first)
    rows = [
        (
            f"{tenth / 10:.1f} to {(tenth + 1) / 10:.1f}",
            _share(one.stated) if one.count else "–",
            _with_error(one),
            f"{one.count} of {one.lamps}",
            *(_with_error(other[tenth]) for other in (firsts, even)),
        )
        for tenth, one in enumerate(odd)
    ]
    heading = (
        "stated chance",
        "mean stated",
        "truly within, odd rows (s.e. by lamp)",
        "stacks of lamps",
        "firsts only",
        "even rows",
    )
    return Table("Chance stated to land within three steps, and what came of it", heading, rows)


def _with_error(one: Tenth) -> str:
    """Write the share within and its standard error by lamp, "0.560 ± 0.031"."""
    if not one.count:
        return "–"
    return _share(one.within) if np.isnan(one.error) else f"{_share(one.within)} ± {_share(one.error)}"


def _kinds(lamps: Sequence[Lamp]) -> list[str]:
    return list(dict.fromkeys(lamp.kind for lamp in lamps))


def _cells(found: Spread, even: Spread, rest: Spread, write: Callable[[float], str]) -> tuple[str, ...]:
    return (
        write(found.mean),
        f"{write(found.least)} to {write(found.most)}",
        write(even.mean),
        write(rest.mean),
    )


def _pair(values: Array, chosen: Chosen) -> str:
    return " / ".join(_colour(spread(values[:, chosen], of).mean) for of in (median, ninetieth))


def _colour(value: float) -> str:
    return f"{value:.5f}"


def _share(value: float) -> str:
    return f"{value:.3f}"
