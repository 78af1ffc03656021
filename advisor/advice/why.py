"""Why one stack stands above another, and where a stack built by hand would stand: in one sentence each."""

from collections.abc import Callable, Sequence
from typing import NamedTuple

import numpy as np

from ..model import Limits, SourceAdvice, StackAdvice
from ..model.base import name_key
from ..model.gel import family_of
from ..model.phrases import counted, dial_said, listed
from ..model.quantities import tidy
from .ranking import cost, spent

_STEPS, _STOPS = 0.05, 0.005
"""Differences below these, in steps and stops, are not worth a word: they round to nothing."""

Say = Callable[[str], str]
"""How a gel's name is written."""


class Place(NamedTuple):
    """Where a stack stands: `rank` from 1 among `of`; whether it is `ranked`; and that in words."""

    rank: int
    of: int
    ranked: bool
    words: str


def why(answer: SourceAdvice, one: int, other: int, limits: Limits, say: Say = str) -> str:
    """Say why, of two of a source's stacks by their places, the upper one stands where it does.

    The sentence has the upper stack as its subject. Raises IndexError for places that are not there.
    """
    upper, lower = sorted((one, other))
    a, b = answer.stacks[upper], answer.stacks[lower]
    gains, losses = _weighed(a, b, limits.tolerance_steps, answer.least_stops)
    group, first = _group(answer.ties, upper)
    if lower in group:
        light = _weighed(a, b, limits.tolerance_steps, answer.least_stops, steps=False)[0]
        lighter = f", and it {listed(light)}" if light else ""
        return f"The two cannot be told apart{lighter}."
    sentence = _sentence(gains, losses)
    least = answer.least_stops
    if upper != first and _cost(a, limits, least) > _cost(b, limits, least) + 1e-3:
        return (
            f"{sentence}; it cannot be told apart from {hung(answer.stacks[first], say)}, which stands above."
        )
    return sentence + "."


def place(answer: SourceAdvice, entry: StackAdvice, limits: Limits, say: Say = str) -> Place:
    """Say where a stack that was built by hand stands among a source's ranked ones, and what beats it.

    One that is not ranked is counted among them, at the place that its cost would give it.
    """
    gels, of = sorted(entry.gels), len(answer.stacks)
    same = (k for k, s in enumerate(answer.stacks) if sorted(s.gels) == gels and s.dial == entry.dial)
    found = next(same, None)
    if found == 0:
        return Place(1, of, True, f"{_ordinal(1)} of {of}: nothing beats it.")
    if found is not None:
        above, said = hung(answer.stacks[found - 1], say), why(answer, found - 1, found, limits, say)
        words = f"{_ordinal(found + 1)} of {of}; above it stands {above}: {said[0].lower()}{said[1:]}"
        return Place(found + 1, of, True, words)
    least = answer.least_stops
    mine = _cost(entry, limits, least)
    rank, of = 1 + sum(_cost(stack, limits, least) < mine for stack in answer.stacks), len(answer.stacks) + 1
    beaten_by = next((stack for stack in answer.stacks if _beats(stack, entry, least)), None)
    if beaten_by is None:
        return Place(
            rank,
            of,
            False,
            f"{_ordinal(rank)} of {of} by what it does; not ranked: {_barred(entry, limits, least)}.",
        )
    gains, _ = _weighed(beaten_by, entry, limits.tolerance_steps, least, plain=True)
    near = abs(beaten_by.miss.expected_steps - entry.miss.expected_steps) < _STEPS
    said = ", ".join([*(["as near"] if near else []), *gains]) or "the same to the last figure shown"
    return Place(rank, of, False, f"{_ordinal(rank)} of {of}; beaten by {hung(beaten_by, say)}: {said}.")


def hung(stack: StackAdvice, say: Say = str) -> str:
    """Name a stack within a sentence."""
    names = [say(name) for name in stack.gels]
    if stack.dial:
        return dial_said(stack.dial) + (f" with {listed(names)}" if names else "")
    if not names:
        return "the bare source"
    return f"{names[0]} alone" if len(names) == 1 else listed(names)


def _weighed(
    a: StackAdvice,
    b: StackAdvice,
    tolerance: float,
    least: float,
    steps: bool = True,
    plain: bool = False,
) -> tuple[list[str], list[str]]:
    """Return what `a` does better than `b`, with verbs or `plain`, and what it does worse.

    Where `least` stops have to be lost, what is lost beyond them is what costs; what is lost too little
    stands over the limit that the source has over the key.
    """
    gains, losses = [], []
    nearer, average = _nearer(a, b)
    beyond = b.miss.steps - tolerance
    if steps and nearer >= _STEPS:
        if plain:
            gains.append(f"{_steps(nearer)} nearer{average}")
        elif not average and a.miss.steps <= tolerance and beyond >= _STEPS:
            gains.append(f"is within {tidy(tolerance)} steps, where the other is {_steps(beyond)} beyond")
        else:
            gains.append(f"is {_steps(nearer)} nearer{average}")
    elif steps and -nearer >= _STEPS:
        losses.append(f"{_steps(-nearer)} more{average}")
    over = max(least - b.stops, 0.0) - max(least - a.stops, 0.0) if least > 0 else 0.0
    if over >= _STOPS:
        gains.append(f"{'' if plain else 'is '}{_stops(over)} less over its limit")
    elif -over >= _STOPS:
        losses.append(f"{_stops(-over)} more over its limit")
    lost_a, lost_b = (max(s.stops, least) if least > 0 else s.stops for s in (a, b))
    for less, verb, words in ((lost_b - lost_a, "costs", _stops), (b.layers - a.layers, "needs", _sheets)):
        if less >= _STOPS:
            gains.append(f"{words(less)} less" if plain else f"{verb} {words(less)} less")
        elif -less >= _STOPS:
            losses.append(f"{words(-less)} more")
    return gains, losses


def _nearer(a: StackAdvice, b: StackAdvice) -> tuple[float, str]:
    """Return how many steps nearer `a` is by the misses that are shown, so that the figures add up.

    The ranking goes by the mean over the ensemble: where that says the other way, it is told as what it is.
    """
    expected = b.miss.expected_steps - a.miss.expected_steps
    shown = b.miss.steps - a.miss.steps
    if abs(expected) < _STEPS:
        return 0.0, ""
    if abs(shown) >= _STEPS and (shown > 0) == (expected > 0):
        return shown, ""
    return expected, " on average"


def _sentence(gains: Sequence[str], losses: Sequence[str]) -> str:
    if not gains:
        return "Does much the same" if not losses else f"Stands above for all its {listed(losses)}"
    said = listed(gains)
    pause = "," if " beyond" in said else ""
    return said[0].upper() + said[1:] + (f"{pause} for {listed(losses)}" if losses else "")


def _group(ties: Sequence[int], at: int) -> tuple[range, int]:
    """Return the places of the group that a place is in, and its first."""
    start = 0
    for size in ties:
        if at < start + size:
            return range(start, start + size), start
        start += size
    raise IndexError(f"there is no stack at place {at}")


def _beats(a: StackAdvice, b: StackAdvice, least: float) -> bool:
    mine = (a.miss.expected_steps, _spent(a, least), a.layers)
    theirs = (b.miss.expected_steps, _spent(b, least), b.layers)
    return all(x <= y for x, y in zip(mine, theirs, strict=True))


def _barred(entry: StackAdvice, limits: Limits, least: float) -> str:
    """Say what keeps a stack out that no ranked one beats."""
    families = {_key(family) for family in limits.exclude_families}
    out = [name for name in entry.gels if _key(family_of(name)) in families]
    if limits.only_gels is not None:
        named = {_key(name) for name in limits.only_gels}
        out += [name for name in entry.gels if _key(name) not in named]
    if entry.layers > limits.max_layers:
        return f"{entry.layers} layers, and the limit is {limits.max_layers}"
    if limits.max_stops is not None and entry.stops - least > limits.max_stops:
        return f"it costs {_stops(entry.stops)}, and the limit is {tidy(limits.max_stops)}"
    if out:
        return f"{out[0]} is not to be used"
    return "a gel in it is switched off, used up or neutral, or two of them are opposites"


def _key(name: str) -> str:
    return name_key(" ".join(name.split()))


def _spent(stack: StackAdvice, least: float) -> float:
    return float(spent(np.array(stack.stops), least))


def _cost(stack: StackAdvice, limits: Limits, least: float) -> float:
    figures = (stack.miss.expected_steps, _spent(stack, least), stack.layers)
    steps, lost, layers = (np.array(float(v)) for v in figures)
    return float(cost(steps, lost, layers, limits.tolerance_steps))


def _steps(value: float) -> str:
    return "half a step" if tidy(value, 1) == "0.5" else counted(round(value, 1), "step")


def _stops(value: float) -> str:
    return counted(round(value, 1), "stop") if value >= 0.05 else f"{tidy(value, 2)} stop"


def _sheets(value: float) -> str:
    return "a sheet" if value == 1 else f"{value:.0f} sheets"


def _ordinal(number: int) -> str:
    ending = "th" if number % 100 in (11, 12, 13) else {1: "st", 2: "nd", 3: "rd"}.get(number % 10, "th")
    return "First" if number == 1 else f"{number}{ending}"
