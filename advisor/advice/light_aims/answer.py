"""The whole way from sources and what is asked of their light to ways: model in, model out."""

from collections.abc import Sequence

from ...model import Gel, Limits, Refused, Role, Source
from ...model.asked_light import AskedLight, ToldLight, ToldSolved, ToldWay
from ...model.basis.problems import within
from ...model.basis.quantities import tidy
from ..plan.make import make_plan
from ..stacks.enumerate import allowed_by, choice_on
from ..stacks.gel_arrays import GelArrays, gel_arrays_of
from .levels import STEP, as_usually_dimmed, dimmer_of
from .solve import LightSolution, SolvedSource, solve_light
from .wanted import LightAims
from .ways import LightWay

MOST_TRIED = 500_000
"""The most stacks tried, over all levels of all sources: some two seconds of work. Twenty gels in three
layers at twenty levels on 14 sources."""


def light_for(asked: AskedLight, sources: Sequence[Source], table: Sequence[Gel]) -> ToldLight:
    """Return the light solved; `sources` are those of the request, with their light.

    Raises Refused, with the place in the request, for what cannot be measured or matched, where nothing is
    asked, and for more stacks than a call may take time for.
    """
    aims = LightAims(asked.exposure, asked.f_number, asked.key_to_fill)
    if not aims.some and not any(source.over_key is not None for source in sources):
        allowed = "f_number, key_to_fill, or over_key of a source"
        raise Refused.one("f_number", "nothing is asked of the light", allowed)
    gels = table if asked.gels is None else asked.gels
    with within("gels"):
        gel_arrays = gel_arrays_of(tuple(gels))
    refuse_too_much(sources, asked.limits, gel_arrays)
    plan = make_plan(sources, asked.target, asked.limits, gels)
    if plan.problems:
        raise Refused(list(plan.problems))
    for place, head in enumerate(plan.heads):
        if head.problems:
            with within("sources", place):
                raise Refused(list(head.problems))
    return _told(solve_light(plan, sources, aims))


def refuse_too_much(sources: Sequence[Source], limits: Limits, gel_arrays: GelArrays) -> None:
    """Raise Refused, before any work, where there is more to try than a call may take time for."""
    tried = 0
    for source in sources:
        if source.role in (Role.KEY, Role.FILL) or source.over_key is not None:
            own = limits.for_source(source)
            layers = 0 if source.aim.leave else own.max_layers
            allowed = allowed_by(gel_arrays, own)
            levels = round(100.0 / STEP) if dimmer_of(source) or as_usually_dimmed(source) else 1
            tried += levels * choice_on(gel_arrays, (), layers, allowed, dimmed=True).count
    if tried > MOST_TRIED:
        raise Refused.one(
            "sources",
            f"{tidy(tried)} stacks are to be tried over all levels",
            f"at most {tidy(MOST_TRIED)}: fewer keys and fills, fewer layers, or gels left out",
        )


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
