"""Light that is asked for, in sentences: what a source is to give, and how its light then is."""

from ....advice.light_aims.levels import as_usually_dimmed, dimmer_of
from ....advice.light_aims.solve import LightSolution
from ....advice.light_aims.wanted import LightAims, WantedLight
from ....advice.light_aims.ways import FARTHEST, NEAREST, LightMove, LightWay, movable
from ....advice.overview.f_number import as_marked, f_stop, said
from ....advice.overview.ratios import Ratio, lux_of
from ....advice.plan.plan import Plan
from ....advice.ranking.candidates import takes_scrims
from ....advice.stacks.gel_arrays import GelArrays
from ....model import Kind, Limits, Role, Source
from ....model.sets.phrases import counted, listed, percent
from ...wording.values import capitalize_first, lux


def wanted_said(role: Role, wanted: WantedLight, key: float | None, aims: LightAims) -> str:
    """Say what a source is to give: “f/2.8: 163 lx”, “at most 2 stops over the key: 650 lx”."""
    amount = lux(wanted.lux)
    if role is Role.KEY and aims.f_number is not None:
        return f"{said(as_marked(aims.f_number))} is asked: {amount} of it here"
    if wanted.exact and aims.key_to_fill is not None:
        return f"{ratio_said(Ratio(aims.key_to_fill))} is asked: {amount} here"
    assert key, "a limit goes by a key that is known"
    return f"At most {Ratio(wanted.lux / key).words} the key: {amount}"


def wanted_than_now(stops: float, wanted: WantedLight) -> str:
    """Say what a source is to give against now: “0.6 stop brighter is asked: 167 lx here, 110 lx now”."""
    now = lux(wanted.lux / 2.0**stops)
    return f"{capitalize_first(than_now_said(stops))} is asked: {lux(wanted.lux)} here, {now} now"


def than_now_said(stops: float) -> str:
    """Say how much brighter a source is to be: “0.6 stop brighter”, “1 stop darker”, “as bright as now”."""
    shown = round(abs(stops), 1)
    way = "brighter" if stops > 0 else "darker"
    return f"{counted(shown, 'stop')} {way}" if shown else "as bright as now"


def ratio_said(lit: Ratio) -> str:
    """Say a ratio of the lit side to the fill side, and its stops: “4:1 (2 stops)”."""
    return f"{lit.text} ({counted(round(lit.stops, 1), 'stop')})"


def off_said(stops: float) -> str:
    """Say how far a light is off what is wanted: “0.7 stop short”, “1 stop too bright”, “on it”."""
    shown = round(abs(stops), 1)
    if not shown:
        return "as asked"
    return f"{counted(shown, 'stop')} {'too bright' if stops > 0 else 'short'}"


def told_light(way: LightWay, source: Source, aims: LightAims, wanted: WantedLight) -> str:
    """Say what a source gives then, and by how much that misses what is asked: “163 lx, as asked”."""
    said = lux(way.lux)
    if source.role is Role.KEY:
        said = f"{f_stop(way.lux, aims.exposure).words}, {said}"
    said = f"{said}, {_off(way, wanted)}{_as_far_as_offered(way)}"
    return f"About {said}. Meter colour and light there" if way.about else said


def _as_far_as_offered(way: LightWay) -> str:
    """Say why a distance that misses what is asked goes no further; empty where it is on it."""
    if way.move is not LightMove.DISTANCE or not round(abs(way.off), 1):
        return ""
    if way.times >= FARTHEST:
        return ". More than twice as far is not offered"
    return ". Less than half as far is not offered" if way.times <= NEAREST else ""


def over_key_said(plan: Plan, found: LightSolution) -> str:
    """Name the sources of which nothing is asked, and that are over the key then; empty where none is."""
    asked = {one.index for one in found.sources}
    said = []
    for i, head in enumerate(plan.heads):
        light = None if i in asked else lux_of(plan, i, gelled=True)
        if light and found.key and not (over := Ratio(light / found.key)).even and over.stops > 0:
            said.append(f"{head.source.name} by {counted(round(over.stops, 1), 'stop')}")
    return f"Over the key then: {listed(said)}." if said else ""


def _off(way: LightWay, wanted: WantedLight) -> str:
    return "within the limit" if way.reaches and not wanted.exact else off_said(way.off)


def beyond_said(way: LightWay, source: Source, limits: Limits, gel_arrays: GelArrays) -> str:
    """Say why what comes nearest misses what is asked of a source; empty where it does not, or may yet."""
    if way.reaches:
        return ""
    most = limits.for_source(source).max_layers
    full = len(way.stack.gels) >= most
    if way.off < 0.0:
        dimmed = any(gel_arrays.dimming[k] for k in gel_arrays.find(way.stack.gels))
        if dimmed and full:
            return f"Too dark with this ND, too bright with less: its {_layers(most)} full."
        return "" if dimmed or movable(source) else "It gives no more light than that."
    dims = gel_arrays.dimming if takes_scrims(source) else gel_arrays.dimming & ~gel_arrays.scrims
    if not dims.any():
        return "Too bright: no ND is in the gel table."
    return f"Too bright: its {_layers(most)} full." if full else ""


def _layers(most: int) -> str:
    return f"{counted(most, 'layer')} {'is' if most == 1 else 'are'}"


def undimmed_said(source: Source) -> str:
    """Say why a head's dimmer is not offered, or only about, and what to do; empty where it is.

    What it gives at other levels is known between two that were read, with their lux.
    """
    level = source.reading.level
    if dimmer_of(source) or (level is None and source.reach is None):
        return ""
    if level is not None and as_usually_dimmed(source):
        warms = ", warmer when dimmed" if source.kind is Kind.TUNGSTEN else ""
        return f"Only read at {percent(level)}: other levels are guessed from the dimmer{warms}."
    read = "No dim level is known" if level is None else f"Only read at {percent(level)}"
    return f"{read}. Read it at two dim levels: then dimming is offered."
