"""What to hang on a head at each reading of its test, in words; worked out once for each colour."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from math import log
from typing import NamedTuple

from ....advice.known_heads.to_hang import ToHang, colour_of, nominal_cct, to_hang, to_turn, whites_at
from ....advice.readings.chromaticity import measure
from ....advice.readings.filament import likely_of
from ....advice.stacks.gel_arrays import revision_of
from ....advice.stacks.kept import Kept
from ....advice.stacks.watch import go_on, tell
from ....model import Gel, HeadReading, HeadSetup, Kind, KnownHead, Locus, Reading, Seen, Target
from ....model.basis.quantities import tidy
from ....model.sets.phrases import dial_said, listed
from ...gels.as_modifier import gels_in
from ...wording.values import capitalize_first, gel

BySetup = Mapping[HeadSetup, Sequence[HeadReading]]
"""What was read by how a head was set up, from full down."""
_NOTHING: BySetup = {}


class Hung(NamedTuple):
    """What to hang: the CCT [K] that it is for by setup; the words by setup and level [%], for each locus.

    `gels` are those of the words alone, empty for none.
    """

    cct: Mapping[HeadSetup, float]
    words: Mapping[tuple[HeadSetup, float], Mapping[Locus, str]]
    gels: Mapping[tuple[HeadSetup, float], Mapping[Locus, str]]


_STACKS = Kept(2048)
"""Stacks by what each follows from: a head that is read once more has one cell of its sheet worked out."""


def hung_said(head: KnownHead, readings: BySetup, gels: Sequence[Gel], elsewhere: BySetup = _NOTHING) -> Hung:
    """Say what to hang at each reading, for each locus at the CCT that the head is sold as or set to.

    `elsewhere` is what other tests of the day read: it tells, too, what the dials do. Of tungsten a small Duv
    is mostly the meter's. Where a gel was up as the modifier nothing is said: it would undo that gel.
    """
    readings = {
        setup: likely_of(head.kind, some)
        for setup, some in readings.items()
        if not gels_in(setup.modifier, gels)
    }
    known = {**elsewhere, **readings}
    table = revision_of(gels)
    said: dict[tuple[HeadSetup, float], dict[Locus, str]] = {}
    needed: dict[tuple[HeadSetup, float], dict[Locus, str]] = {}
    ccts: dict[HeadSetup, float] = {}
    by_cct: dict[float, list[tuple[HeadSetup, HeadReading]]] = {}
    for setup, some in readings.items():
        full = next(rows[0] for other, rows in readings.items() if other.dial == setup.dial)
        cct = nominal_cct(head, setup, measure(full))
        ccts[setup] = cct
        by_cct.setdefault(cct, []).extend((setup, reading) for reading in some)
    done, count = 0, 2 * sum(map(len, readings.values()))
    for cct, cells in by_cct.items():
        read = [reading for _, reading in cells]
        colours = [colour_of(reading).model_dump_json(exclude_defaults=True) for reading in read]
        for locus, target in whites_at(cct).items():
            keys = [(head.kind, target.cct, locus, table, colour) for colour in colours]
            make = partial(_made, head.kind, read, target, gels)
            stacks = _STACKS.of_all(keys, make)
            for (setup, reading), by_gel in zip(cells, stacks, strict=True):
                go_on()
                stack = _turned(head, setup, reading, known, target) or by_gel
                said.setdefault((setup, reading.level), {})[locus] = _said(stack, setup, known)
                needed.setdefault((setup, reading.level), {})[locus] = _gels(stack) if stack else ""
                done += 1
                tell(done / count)
    return Hung(ccts, said, needed)


@dataclass(frozen=True)
class Carry:
    """Which gels to carry for a locus: `said` in a sentence, or as a heading over `stacks`, a line each."""

    said: str
    stacks: tuple[str, ...] = ()


def carry_said(hung: Hung) -> list[Carry]:
    """Say which gels a head needs at the levels that were read, as the table of its sheet has them."""
    if not hung.gels:
        return []
    needed: dict[Locus, _Needed] = {}
    for (setup, level), by_locus in hung.gels.items():
        for locus, gels in by_locus.items():
            needed.setdefault(locus, {}).setdefault(gels, []).append((setup, level))
    lines = [_carry(some, _LOCI[locus]) for locus, some in needed.items()]
    if len(needed) == len(_LOCI) and len({repr(some) for some in needed.values()}) == 1:
        lines = [_carry(next(iter(needed.values())), "both loci")]
    said = [line for line in lines if line]
    return said or [Carry("Carry no gel for it.")]


def same_gels(hung: Hung, setup: HeadSetup) -> bool:
    """Whether one and the same is told to be hung at all levels that were read with a setup."""
    told = [by_locus for (other, _), by_locus in hung.words.items() if other == setup]
    return all(one == told[0] for one in told)


_LOCI = {Locus.PLANCKIAN: "the Planckian locus", Locus.DAYLIGHT: "the daylight locus"}
_AND = " + "
"""Between the sheets of a stack."""
_MOST_SAID = 4
"""The most stacks that are told where they hang: what is longer is read in the table."""
_Cells = list[tuple[HeadSetup, float]]
"""What was read: setups and levels [%]."""
_Needed = dict[str, _Cells]
"""Where gels are needed, by the gels."""


def _carry(needed: _Needed, locus: str) -> Carry | None:
    """Say what a locus needs: “For the daylight locus carry ¼ minus green at 50 %.”; None for nothing.

    Where there are several stacks each is a line. Where one level needs this bare and that with a modifier,
    it says which. Of more than a few it names the sheets alone.
    """
    hung = {gels: at for gels, at in needed.items() if gels}
    if not hung:
        return None
    if len(needed) == 1:
        return Carry(f"For {locus} carry {next(iter(hung))}.")
    everywhere = [one for at in needed.values() for one in at]
    said = [line for gels, at in hung.items() for line in _at(gels, at, everywhere)]
    if len(said) > _MOST_SAID:
        sheets = dict.fromkeys(sheet for gels in hung for sheet in gels.split(_AND))
        return Carry(f"For {locus} carry {listed(list(sheets))}. The table says where.")
    if len(said) == 1:
        return Carry(f"For {locus} carry {said[0]}.")
    return Carry(f"For {locus} carry:", tuple(capitalize_first(line) for line in said))


def _at(gels: str, needed: _Cells, everywhere: _Cells) -> list[str]:
    """Say at which levels gels are needed, and with which modifier where that is not all that was read."""
    levels: dict[HeadSetup, list[float]] = {}
    for setup, level in needed:
        levels.setdefault(setup, []).append(level)
    alike: dict[tuple[float, ...], list[HeadSetup]] = {}
    for setup, some in levels.items():
        alike.setdefault(tuple(sorted(some, reverse=True)), []).append(setup)
    said = []
    for at, setups in alike.items():
        with_all = {setup for setup, level in everywhere if level in at} == set(setups)
        which = "" if with_all else f", {listed([setup.words for setup in setups])}"
        read = sorted({level for setup, level in everywhere if setup in setups}, reverse=True)
        said.append(f"{gels} at {_runs(at, read)}{which}")
    return said


def _runs(levels: Sequence[float], read: Sequence[float]) -> str:
    """Say levels, of those that were `read`, from full down: three or more in a row as “100 to 50 %”."""
    runs: list[list[float]] = []
    for level in levels:
        if runs and read.index(level) == read.index(runs[-1][-1]) + 1:
            runs[-1].append(level)
        else:
            runs.append([level])
    short = [[f"{tidy(run[0])} to {tidy(run[-1])}"] if len(run) > 2 else map(tidy, run) for run in runs]
    return f"{listed([words for run in short for words in run])}\N{NARROW NO-BREAK SPACE}%"


def _said(stack: ToHang | None, setup: HeadSetup, known: BySetup) -> str:
    """Say it, and how plainly it is off yet: “⅛ plus green”, “bare, a bit off”, “dials 5 750 K, green −2”.

    A green that nobody read turned is told as assumed.
    """
    if stack is None:
        return ""
    green_moved = stack.dial and setup.dial and stack.dial.green != setup.dial.green
    assumed = green_moved and len(greens_of(known)) == 1
    unread = " assumed" if assumed else ", beyond its readings" if stack.beyond else ""
    turned = [f"dials {dial_said(stack.dial)}{unread}"] if stack.dial else []
    names = " + ".join([*turned, *filter(None, [_gels(stack)])]) or "bare"
    return f"{names}, {stack.seen}" if stack.seen in (Seen.SHOWS, Seen.OBVIOUS) else names


def greens_of(known: BySetup) -> set[float]:
    """Return at which settings of the green dial something was read."""
    return {setup.dial.green for setup in known if setup.dial}


def _turned(
    head: KnownHead, setup: HeadSetup, reading: HeadReading, known: BySetup, target: Target
) -> ToHang | None:
    """Return the dials that alone bring a reading close; None where they do not, or it has none."""
    if head.reach is None or setup.dial is None:
        return None
    alike = _at_other_dials(setup, reading, known)
    colours = [one.model_dump_json(exclude_defaults=True) for one in alike]
    key = (head.kind, head.reach.model_dump_json(), target.cct, target.locus, *colours)
    found: ToHang | None = _STACKS.of(key, partial(to_turn, head, alike, target))
    return found


def _at_other_dials(setup: HeadSetup, reading: HeadReading, known: BySetup) -> list[Reading]:
    """Return what tells how the dials turn a light: readings at other dials, and last itself.

    Dials that were not read at its level are taken at the nearest one: a short test turns them at full alone.
    Then the light at its own dials there tells what the level does, apart from the dials. So do all that were
    read with one of the other modifiers.
    """
    others = [
        min(rows, key=lambda other: abs(log(other.level / reading.level)))
        for there, rows in known.items()
        if there.dial and there != setup
    ]
    levels = {other.level for other in others if other.modifier == setup.modifier} - {reading.level}
    others += [own for own in known[setup] if own.level in levels]
    return [
        colour_of(one).model_copy(update={"dial": one.dial, "level": one.level, "modifier": one.modifier})
        for one in (*others, reading)
    ]


def _gels(stack: ToHang) -> str:
    return _AND.join(gel(name) for name in stack.gels)


def _made(
    kind: Kind, readings: Sequence[HeadReading], target: Target, gels: Sequence[Gel], missing: Sequence[int]
) -> list[ToHang | None]:
    return to_hang(kind, [readings[k] for k in missing], target, gels)
