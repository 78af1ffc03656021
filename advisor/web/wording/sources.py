"""What a source is limited to, how it is used, and how it was read, in a sentence or a part of one."""

from ...advice.learned.light_here import by_distance
from ...advice.plan.head import PlannedSource
from ...model import Reading, Source
from ...model.sets import phrases
from ...model.sets.phrases import counted, listed, percent
from ...store.sets.log import reading_words
from .values import capitalize_first, gel, lux, where_to


def own_limits(source: Source) -> str:
    """Say the limits of a source's own, in a sentence each; empty where it has none."""
    parts = []
    if why := source.no_gel:
        parts.append(f"{capitalize_first(why.said)}.")
    elif source.max_layers is not None:
        parts.append(f"{capitalize_first(counted(source.max_layers, 'layer'))} at most.")
    if source.only_gels is not None:
        cut = listed([gel(name) for name in source.only_gels])
        parts.append(f"Only what is cut for it: {cut or 'nothing'}.")
    return " ".join(parts)


def used(source: Source) -> str:
    """Say at which level and with which modifier a source is used."""
    level = (
        "at the level of the newest bare reading" if source.level is None else f"at {percent(source.level)}"
    )
    if source.modifier is None:
        return level
    return f"{level}, {source.modifier or 'no modifier'}"


def stood_at(source: Source) -> str:
    """Say where a stand is to go, or went."""
    if source.stand is None:
        return "stays where it is"
    return f"{'moved' if source.stand.done else 'to move'} to {where_to(source.stand)}"


def read_said(reading: Reading) -> str:
    """Say what was read: “5 820 K, Duv +0.0068, behind ¼ CTO”."""
    return reading_words(reading, gel)


def duv_assumed(reading: Reading) -> str:
    """Say that the Duv of a reading in use was not metered; empty where it was."""
    return "Its Duv was not metered: it counts as 0." if reading.duv_assumed else ""


def stood(reading: Reading) -> str:
    """Say how a source stood when it was read; empty where nothing was noted."""
    return phrases.stood(reading, gel)


def lux_here(source: Source) -> str:
    """Say the illuminance of a source, as it is told for where it stands now: “about 163 lx” after a move."""
    return f"{'about ' if by_distance(source) else ''}{lux(source.reading.lux)}"


def lux_there(head: PlannedSource) -> str:
    """Say what a head gives where its stand is to go: “About 163 lx there.”; empty where nobody knows.

    By the inverse square, behind what hangs then.
    """
    stand, stack = head.source.stand, head.due.result if head.due else head.best
    if stand is None or stand.done or stack is None or not stack.after.lux:
        return ""
    return f"About {lux(stack.after.lux / stand.times**2)} there."


def moved_lux(source: Source) -> str:
    """Say that the light of a source was read before its stand was moved; empty where it was not."""
    return "Its lux was read before the move." if by_distance(source) else ""


def earlier_lux(source: Source, used: Reading) -> str:
    """Say that the light of a reading in use is of an earlier one; empty where it is its own."""
    own = source.reading
    if not (own.said and own.lux is None and used.lux):
        return ""
    light = {name: getattr(used, name) for name in ("lux", "as_far", "lux_as_far")}
    return "Its lux is from an earlier reading." if used == own.model_copy(update=light) else ""
