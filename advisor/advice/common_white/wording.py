"""What is said of whites that all could go to: their names, what each saves, and what it costs."""

from collections.abc import Sequence

from ...colour.observer.loci import CC_PER_DUV
from ...model import Seen, Target
from ...model.basis.quantities import tidy
from ...model.sets.phrases import counted, listed, measured, taken_out, white
from ..cost.counted import STOP_IN_STEPS
from ..wording.ladder import Ladder
from .grid import TINTS
from .options import Option, Part, Whites, fewer_off, further_off, gained_light, newly_off

_LEAST_STOPS = 0.1
"""A smaller difference in light is not worth a word. [stop]"""
_MUCH_STOPS = 0.5
"""Who would save so much light is told how much. [stop] Our judgement."""


def headline(whites: Whites) -> str:
    """Answer in a sentence: what is gained first of all, and what that costs. The rest is in the list."""
    if not whites.best:
        return "Nothing to compare whites for yet"
    best, present = whites.advised, whites.present
    if best is None:
        return _stay(whites, present) if present else "Nothing to compare whites for yet"
    if present is None:
        return f"Go to {white(best.target)}"
    gained = [*saves(best, present), *_more_at_subject(best, present)]
    worst = costs(best, present)
    light = _light(present.stops - best.stops)
    said = [gained[0], light] if light and not worst and light != gained[0] else gained[:1]
    but = f", but {worst[0]}" if worst else ""
    return f"Go to {white(best.target)}: {', '.join(said)}{but}"


def _stay(whites: Whites, present: Option) -> str:
    """Say to stay, and why the first white that costs less in all is not worth it, where there is one."""
    stay = f"Stay at {white(present.target)}"
    if not whites.offered:
        return stay
    other = whites.offered[0]
    if other.target.tint and not whites.tints:
        return f"{stay}: white 1 needs a camera tint"
    if worse := [*_off(newly_off(other, present)), *_further(other, present, whole=True)]:
        return f"{stay}: at white 1 {' and '.join(worse)}"
    more, stops = costs(other, present), present.stops - other.stops
    light = f"{measured(stops, 'stop')} over all heads, " if stops >= _MUCH_STOPS else ""
    said = f"{stay}: white 1 saves {light}too little"
    return f"{said} for {more[0]}" if more else said


def _more_at_subject(best: Option, present: Option) -> list[str]:
    """Say how much more light there is at the subject, where it is worth a word."""
    more = gained_light(best, present)
    return [f"{measured(more, 'stop')} more at the subject"] if more >= _LEAST_STOPS else []


def _light(stops: float) -> str:
    """Say how much less light is lost, or more; empty where it is not worth a word."""
    if abs(stops) < _LEAST_STOPS:
        return ""
    return f"{measured(abs(stops), 'stop')} {'less' if stops > 0 else 'more'} lost"


def saves(option: Option, present: Option) -> list[str]:
    """Say what an option saves against the present white, cuts first: “19 cuts less”."""
    sheets, layers = present.sheets - option.sheets, present.layers - option.layers
    said = [f"{counted(sheets, 'cut')} fewer"] if sheets > 0 else []
    if layers > 0 and layers != sheets:
        said.append(f"{counted(layers, 'layer')} fewer")
    fewer = fewer_off(option, present)
    if fewer > 0:
        said.append(f"{counted(fewer, 'source')} fewer left off" if option.off else "no source left off")
    if present.stops - option.stops >= _LEAST_STOPS:
        said.append(_light(present.stops - option.stops))
    return said


def costs(option: Option, present: Option | None) -> list[str]:
    """Say what an option costs: who is off then, as its list says, and what it takes more than the present.

    Who is off at the present white too is no cost of another one (`still_off`), unless it comes plainly
    further off.
    """
    said = [*_off(newly_off(option, present)), *_further(option, present)]
    if present is None:
        return said
    sheets, layers = option.sheets - present.sheets, option.layers - present.layers
    if sheets > 0:
        said.append(f"{counted(sheets, 'cut')} more")
    if layers > 0 and layers != sheets:
        said.append(f"{counted(layers, 'layer')} more")
    if option.stops - present.stops >= _LEAST_STOPS:
        said.append(_light(present.stops - option.stops))
    return said


def still_off(option: Option, present: Option | None) -> str:
    """Say who is off at an option, and is at the present white too.

    Who comes plainly further off is told among the costs.
    """
    worse = (*newly_off(option, present), *further_off(option, present))
    told = {part.name for part in worse}
    names = [part.name for part in option.off if part.name not in told]
    return f"Still off: {listed(names)}" if names else ""


def _further(option: Option, present: Option | None, *, whole: bool = False) -> list[str]:
    """Say who is off now too, but plainly further off at an option, as a clause if `whole`."""
    names = [part.name for part in further_off(option, present)]
    if not names:
        return []
    be = ("is " if len(names) == 1 else "are ") if whole else ""
    return [f"{listed(names)} {be}further off"]


def totals(option: Option, but: Sequence[str] = ()) -> str:
    """Say what hangs and what is lost in all: “11 cuts, 4.8 stops lost over all sources”.

    Those that were not weighed (`but`) are not counted, so they are named.
    """
    layers = f" in {counted(option.layers, 'layer')}" if option.layers != option.sheets else ""
    lost = f"{measured(option.stops, 'stop')} lost over all sources"
    return f"{counted(option.sheets, 'cut')}{layers}, {lost}{f' but {listed(but)}' if but else ''}"


def caveat(target: Target, ladder: Ladder) -> str:
    """Say what to check where the camera is to take something out; nothing where it is not."""
    if not target.tint:
        return ""
    colour = "green" if target.tint > 0 else "magenta"
    begin = f"Check that the camera can take out {taken_out(target.tint)}. "
    if abs(target.tint) / CC_PER_DUV >= ladder.across(target.tint)[0]:
        begin = f"Everything goes {colour} and the camera takes it out. {begin}"
    other = "magenta" if target.tint > 0 else "green"
    return f"{begin}It goes from everything in shot. What has less of it turns {other}, practicals too."


def scope(whites: Whites) -> list[str]:
    """Say what was compared, and what was not."""
    kelvins = whites.grid.cct
    span = f"{tidy(kelvins.min(), 0)} to {tidy(kelvins.max(), 0)} K"
    said = [
        f"Compared: {tidy(len(kelvins))} whites of {span} on both loci. "
        f"The camera takes out up to {taken_out(TINTS[0])}, or up to {taken_out(TINTS[-1])}.",
        "Cost of a white: the expected miss in steps, times four beyond the tolerance. "
        f"A stop adds {STOP_IN_STEPS:g} steps, a layer half a step. Sources left alone do not count.",
    ]
    if whites.gone_through is not None:
        said.append(
            f"With so many gels the whites were found with {whites.gone_through} of them. "
            "What is shown is worked out with all."
        )
    if whites.left_out:
        said.append(f"Not counted, since nobody has read them yet: {', '.join(whites.left_out)}.")
    return said


def unweighed(whites: Whites) -> str:
    """Say which sources were not weighed; empty where all were."""
    return " ".join(said for said in (_out_of_reach(whites), _no_pull(whites)) if said)


def _no_pull(whites: Whites) -> str:
    """Say which sources have no say in the white."""
    if not whites.no_pull:
        return ""
    shown = [*whites.best, *([whites.present] if whites.present else [])]
    gelled = {part.name for option in shown for part in option.parts if part.layers}
    bulbs = [name for name in whites.no_pull if name in gelled]
    others = [name for name in whites.no_pull if name not in gelled]
    said = [_no_say(bulbs, "another bulb is better than gel")] if bulbs else []
    said += [_no_say(others, "no gel goes on, or another bulb is better")] if others else []
    return " ".join(said)


def _no_say(names: Sequence[str], why: str) -> str:
    return f"{listed(names)} {'has' if len(names) == 1 else 'have'} no say: {why}."


def _out_of_reach(whites: Whites) -> str:
    if not whites.unweighed:
        return ""
    one = len(whites.unweighed) == 1
    return (
        f"{listed(whites.unweighed)} {'is' if one else 'are'} out of reach of all. "
        f"{'It was' if one else 'They were'} not weighed."
    )


def _off(off: Sequence[Part]) -> list[str]:
    """Say which sources are off, as the list does: “Hob is obvious”, “A and B are a bit off”."""
    each = [(seen, [part.name for part in off if part.seen is seen]) for seen in (Seen.OBVIOUS, Seen.SHOWS)]
    return [f"{listed(names)} {'is' if len(names) == 1 else 'are'} {seen}" for seen, names in each if names]
