"""Why one stack stands above another, and where a stack built by hand would stand: in one sentence each."""

from collections.abc import Callable, Sequence
from typing import NamedTuple

import numpy as np

from ...model import Limits, Seen, SourceAdvice, StackAdvice
from ...model.basis.base import name_key
from ...model.basis.quantities import tidy
from ...model.gels.gel import family_of
from ...model.sets.phrases import counted, dial_said, grouped, listed
from ..cost.counted import cost, counted_loss, tenths
from ..stacks.gel_arrays import GelArrays
from ..wording.words import in_ten, is_seen, times_in_ten

_STEPS, _STOPS = 0.05, 0.005
"""Differences below these, in steps and stops, are not worth a word: they round to nothing."""

_PLAIN = 1.0
"""From this difference on, “nearer” is said, not “a little nearer”: it is just visible. [step]"""
_LADDER = list(Seen)
"""From what matches to what is obvious."""

Say = Callable[[str], str]
"""How a gel's name is written."""


class Rank(NamedTuple):
    """Where a stack stands: `rank` from 1 among `of`; whether it is `ranked`; and that in words."""

    rank: int
    of: int
    ranked: bool
    words: str


def why(
    answer: SourceAdvice, one: int, other: int, limits: Limits, say: Say = str, above: str = "the first"
) -> str:
    """Say why the upper of two stacks of a source ranks above the lower one.

    The sentence calls the upper one `above`, the lower one “this one”. Raises IndexError if there is no such
    stack.
    """
    upper, lower = sorted((one, other))
    a, b = answer.stacks[upper], answer.stacks[lower]
    least, glass = answer.least_stops, answer.glass_steps
    if b.same_as is not None and b.same_as == (a.same_as if upper and a.same_as is not None else upper):
        lighter = [fact for fact in _facts(a, b, least, colour=False, glass=glass) if fact.for_a]
        said = _told(lighter, above) if lighter else ""
        return f"Looks the same as {above}.{f' {said[0].upper()}{said[1:]}.' if said else ''}"
    return _sentence(_facts(a, b, least, glass=glass), above) + "."


def rank_of(
    answer: SourceAdvice,
    entry: StackAdvice,
    limits: Limits,
    say: Say = str,
    gel_arrays: GelArrays | None = None,
) -> Rank:
    """Say where a stack that was built by hand stands among a source's ranked ones, and what beats it.

    With `gel_arrays`, what keeps one of them out of the ranking is told of the very gels. If it is not
    ranked, it gets the rank that its cost would give it.
    """
    gels, of = sorted(entry.gels), len(answer.stacks)
    same = (k for k, s in enumerate(answer.stacks) if sorted(s.gels) == gels and s.dial == entry.dial)
    found = next(same, None)
    if found == 0:
        return Rank(1, of, True, f"{_ordinal(1)} of {of}: nothing beats it.")
    if found is not None:
        above, said = (
            stack_name(answer.stacks[found - 1], say),
            why(answer, found - 1, found, limits, say, "that one"),
        )
        words = f"{_ordinal(found + 1)} of {of}. Ahead of it is {above}: {said[0].lower()}{said[1:]}"
        return Rank(found + 1, of, True, words)
    least, glass = answer.least_stops, answer.glass_steps
    rank, of = 1 + sum(stack.cost < entry.cost for stack in answer.stacks), len(answer.stacks) + 1
    beaten_by = next((stack for stack in answer.stacks if _beats(stack, entry, least, glass)), None)
    if beaten_by is None:
        barred = _barred(entry, limits, least, say, gel_arrays)
        words = f"{_ordinal(rank)} of {of} by what it does. Not ranked: {barred}."
        return Rank(rank, of, False, words)
    better = [fact for fact in _facts(beaten_by, entry, least, glass=glass) if fact.for_a]
    said = f": {_told(better, 'that one')}" if better else ", if by less than is shown"
    return Rank(rank, of, False, f"{_ordinal(rank)} of {of}: {stack_name(beaten_by, say)} beats it{said}.")


def stack_name(stack: StackAdvice, say: Say = str) -> str:
    """Name a stack within a sentence."""
    names = grouped([say(name) for name in stack.gels])
    if stack.dial:
        return dial_said(stack.dial) + (f" with {listed(names)}" if names else "")
    if not names:
        return "the bare source"
    return f"{names[0]} alone" if len(names) == 1 else listed(names)


class _Fact(NamedTuple):
    """One point for or against the upper of two stacks: which stack it is about, and the words."""

    for_a: bool
    of_a: bool
    says: str


_MOST_SAID = 2
"""The most facts in one sentence: those that weigh most."""


def _facts(
    a: StackAdvice, b: StackAdvice, least: float, colour: bool = True, glass: float = 0.0
) -> list[_Fact]:
    """Return in what `a` and `b` differ, the weightiest first.

    If `least` stops have to be lost, only losses beyond them are a cost. A stack that loses less than `least`
    leaves the source over its limit over the key.
    """
    found = []
    nearer_by = _risk(b, least, glass) - _risk(a, least, glass)
    if colour and abs(nearer_by) >= _STEPS:
        better, worse = (a, b) if nearer_by > 0 else (b, a)
        found.append(_Fact(nearer_by > 0, nearer_by > 0, _nearer(better, worse, this=nearer_by > 0)))
    over = max(least - b.stops, 0.0) - max(least - a.stops, 0.0) if least > 0 else 0.0
    if abs(over) >= _STOPS:
        found.append(_Fact(over > 0, over < 0, f"stays {_stops(abs(over))} further over its limit"))
    lost_a, lost_b = (
        float(tenths(np.array(max(s.stops, least) if least > 0 else s.stops))) for s in (a, b)
    )  # as they count, and as pages show them
    for less, verb, words in ((lost_b - lost_a, "loses", _stops), (b.layers - a.layers, "needs", _layers)):
        if abs(less) >= _STOPS:
            says = f"{verb} {words(abs(less))} {'less' if less > 0 else 'more'}"
            found.append(_Fact(less > 0, True, says))
    return found


def _nearer(better: StackAdvice, worse: StackAdvice, *, this: bool) -> str:
    """Say of the `better` of two stacks what makes it so: how it looks, how surely, or how near it is.

    `this` is true if it is the upper one, so that the other is “this one”. How near is told in words, not in
    steps: stops are on the same line, and the two sound alike.
    """
    other = "this one" if this else "that one"
    looks, others = (_LADDER.index(stack.miss.seen) for stack in (better, worse))
    if looks < others:
        return f"{is_seen(better.miss.seen)}, {other} {is_seen(worse.miss.seen)}"
    if times_in_ten(better.within) > times_in_ten(worse.within):
        return f"lands close {in_ten(better.within)}, {other} {in_ten(worse.within)}"
    nearer = worse.miss.steps - better.miss.steps
    return ("is nearer" if nearer >= _PLAIN else "is a little nearer") + _on_average(nearer)


def _on_average(nearer: float) -> str:
    """Return the words for a stack that is nearer on average, but not for the likeliest lamp; else empty."""
    return "" if nearer >= _STEPS else " on average"


def _sentence(facts: Sequence[_Fact], above: str) -> str:
    """Say what speaks for the upper stack and what against it, in at most two facts."""
    gains, losses = ([fact for fact in facts if fact.for_a is way] for way in (True, False))
    if not facts:
        said = "the two do much the same"
    elif not gains:
        said = f"{above} comes first although {_told(losses, above)}"
    else:
        said = _told(gains if not losses else gains[:1], above)
        if losses and gains[0].of_a is losses[0].of_a and "," not in said:
            said += f", but {losses[0].says}"
        elif losses:
            said += f". But {_told(losses[:1], above)}"
    return said[0].upper() + said[1:]


def _told(facts: Sequence[_Fact], above: str) -> str:
    """Say the weightiest facts, those of one stack together: “the first costs … less and needs … less”."""
    facts = facts[:_MOST_SAID]
    if len({fact.of_a for fact in facts}) == 1 and not any(", " in fact.says for fact in facts):
        return f"{above if facts[0].of_a else 'this one'} {listed([fact.says for fact in facts])}"
    return ", ".join(f"{above if fact.of_a else 'this one'} {fact.says}" for fact in facts)


def _beats(a: StackAdvice, b: StackAdvice, least: float, glass: float) -> bool:
    mine, theirs = (
        (_risk(s, least, glass), float(tenths(counted_loss(np.array(s.stops), least))), float(s.layers))
        for s in (a, b)
    )
    return all(x <= y + 1e-5 for x, y in zip(mine, theirs, strict=True))


def _barred(entry: StackAdvice, limits: Limits, least: float, say: Say, gel_arrays: GelArrays | None) -> str:
    """Say what keeps a stack out of the ranking if no ranked one beats it."""
    families = {_key(family) for family in limits.exclude_families}
    out = [name for name in entry.gels if _key(family_of(name)) in families]
    if limits.only_gels is not None:
        named = {_key(name) for name in limits.only_gels}
        out += [name for name in entry.gels if _key(name) not in named]
    if entry.gels and not limits.max_layers:
        return "no gel is to hang on it"
    if entry.layers > limits.max_layers:
        return f"it has {counted(entry.layers, 'layer')}, and the limit is {limits.max_layers}"
    if limits.max_stops is not None and entry.stops - least > limits.max_stops:
        return f"it loses {_stops(entry.stops)}, and the limit is {tidy(limits.max_stops)}"
    if out:
        return f"{out[0]} is not to be used"
    return (
        _by_its_gels(entry, say, gel_arrays) if gel_arrays else "a gel in it is not ranked, or undoes another"
    )


def _by_its_gels(entry: StackAdvice, say: Say, gel_arrays: GelArrays) -> str:
    """Say which of its gels keeps a stack out of the ranking, or that none does."""
    stack = gel_arrays.find(entry.gels)
    for gel in dict.fromkeys(stack):
        name = say(gel_arrays.names[gel])
        if not gel_arrays.ranked[gel]:
            return f"{name} is not in use, or moves no colour"
        if stack.count(gel) > gel_arrays.stock[gel]:
            return f"there are not as many {name}" if gel_arrays.stock[gel] else f"{name} is used up"
    pushes = gel_arrays.pushes[stack]
    if ((pushes > 0).any(axis=0) & (pushes < 0).any(axis=0)).any():
        return "two of its gels are opposites"
    return "what is listed was read, or is likelier to end the work in as few moves"


def _key(name: str) -> str:
    return name_key(" ".join(name.split()))


def _risk(stack: StackAdvice, least: float, glass: float) -> float:
    """Return what a stack costs beside light and layers, dear ones on `glass` [step]: its expected loss."""
    lost, layers = np.array(stack.stops), np.array(stack.layers)
    dear = glass * max(stack.layers - 1, 0)
    return float(stack.cost - dear - cost(np.zeros(()), counted_loss(lost, least), layers))


def _stops(value: float) -> str:
    return counted(round(value, 1), "stop") if value >= 0.05 else f"{tidy(value, 2)} stop"


def _layers(value: float) -> str:
    return "one layer" if value == 1 else f"{value:.0f} layers"


def _ordinal(number: int) -> str:
    ending = "th" if number % 100 in (11, 12, 13) else {1: "st", 2: "nd", 3: "rd"}.get(number % 10, "th")
    return "First" if number == 1 else f"{number}{ending}"
