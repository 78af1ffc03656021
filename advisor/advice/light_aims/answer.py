"""The whole way from sources and what is asked of their light to ways: model in, model out."""

from collections.abc import Sequence

from ...model import Gel, Limits, Refused, Role, Source
from ...model.asked_light import AskedLight, ToldLight, ToldSolved, ToldWay
from ...model.basis.problems import within
from ...model.basis.quantities import tidy
from ..plan.make import make_plan
from ..stacks.enumerate import allowed_by, choice_on
from ..stacks.gel_arrays import GelArrays, gel_arrays_of
from .levels import levels_tried
from .solve import LightSolution, SolvedSource, solve_light
from .wanted import LightAims
from .ways import LightWay

MOST_TRIED = 2_000_000
"""The most stacks tried, over all levels of all sources: some ten seconds of work. Twenty gels in three
layers at twenty levels on 56 sources."""
FEW_TRIED = 150_000
"""So many stacks are tried within a page's time."""
_DIALS = 43_000
"""Stacks that take as long to try as the dials of one head at one level: a fifth of a second."""


def light_for(asked: AskedLight, sources: Sequence[Source], table: Sequence[Gel]) -> ToldLight:
    """Return the light solved; `sources` are those of the request, with their light.

    Raises Refused, with the place in the request, for what cannot be measured or matched, and as
    `light_to_try`.
    """
    light_to_try(asked, sources, table)
    plan = make_plan(sources, asked.target, asked.limits, table if asked.gels is None else asked.gels)
    if plan.problems:
        raise Refused(list(plan.problems))
    for index, head in enumerate(plan.heads):
        if head.problems:
            with within("sources", index):
                raise Refused(list(head.problems))
    return _told(solve_light(plan, sources, _aims(asked)))


def light_to_try(asked: AskedLight, sources: Sequence[Source], table: Sequence[Gel]) -> int:
    """Look at a request before any work, and return how many stacks there are to try.

    Raises Refused, with the place in the request, where nothing is asked, and for more stacks than a call may
    take time for.
    """
    aims = _aims(asked)
    if not aims.some and not any(source.over_key is not None for source in sources):
        allowed = "f_number, key_to_fill, or over_key of a source"
        raise Refused.one("f_number", "nothing is asked of the light", allowed)
    with within("gels"):
        gel_arrays = gel_arrays_of(tuple(table if asked.gels is None else asked.gels))
    return refuse_too_much(sources, asked.limits, gel_arrays, aims)


def _aims(asked: AskedLight) -> LightAims:
    return LightAims(asked.exposure, asked.f_number, asked.key_to_fill)


def refuse_too_much(sources: Sequence[Source], limits: Limits, gel_arrays: GelArrays, aims: LightAims) -> int:
    """Return how many stacks there are to try; raise Refused, before any work, where those are too many."""
    tried = 0
    for index, source in enumerate(sources):
        limit = aims.over_key.get(index, source.over_key)
        if source.role in (Role.KEY, Role.FILL) or limit is not None or index in aims.than_now:
            own = limits.for_source(source)
            layers = 0 if source.aim.leave else own.max_layers
            allowed = allowed_by(gel_arrays, own)
            levels = levels_tried(source)
            tried += levels * choice_on(gel_arrays, (), layers, allowed, dimmed=True).count
            tried += levels * _DIALS if source.reach else 0
    if tried > MOST_TRIED:
        raise Refused.one(
            "sources",
            f"{tidy(tried)} stacks are to be tried over all levels",
            f"at most {tidy(MOST_TRIED)}: fewer keys and fills, fewer layers, or gels left out",
        )
    return tried


def _told(found: LightSolution) -> ToldLight:
    return ToldLight(
        sources=[_told_source(one) for one in found.sources],
        key_lux=None if found.key is None else round(found.key, 2),
        f_number=None if found.f_number is None else round(found.f_number.number, 3),
        words="" if found.f_number is None else found.f_number.words,
        key_to_fill=None if found.lit is None else round(found.lit.value, 3),
        missing=list(found.missing),
    )


def _told_source(one: SolvedSource) -> ToldSolved:
    ways = [_told_way(way) for way in one.ways]
    lux = round(one.wanted.lux, 2)
    return ToldSolved(name=one.name, wanted_lux=lux, exact=one.wanted.exact, ways=ways, why=one.why)


def _told_way(way: LightWay) -> ToldWay:
    return ToldWay(
        move=way.move.value,
        level=way.level,
        about=way.about,
        times=round(way.times, 3),
        gels=list(way.stack.gels),
        dial=way.stack.dial,
        lux=round(way.lux, 2),
        off_stops=round(way.off, 3),
        steps=round(way.stack.miss.steps, 3),
        cost=round(way.cost, 3),
    )
