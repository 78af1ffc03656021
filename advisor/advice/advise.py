"""The whole way from readings to ranked stacks: model in, model out."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from ..colour.chromaticity import STEP, distance
from ..colour.data import Array
from ..colour.predict import stops, through
from ..colour.sources import Unbendable
from ..model import (
    Advice,
    AdviceRequest,
    Gel,
    Limits,
    PredictionRequest,
    Refused,
    Source,
    SourceAdvice,
    StackAdvice,
)
from ..model.problems import within
from .measure import Whiteness, measure, spectra, white_of
from .rack import Rack, rack_of
from .ranking import cost, pareto
from .report import needed, stack_reports
from .stacks import NONE, Indices, stacks_on

_CHUNK = 4096
"""Stacks predicted at a time: their transmittances stay within a few megabytes."""


@dataclass(frozen=True)
class Bare:
    """A source as the prediction needs it: its chromaticity, and the spectra (k, 81) it may have."""

    source: Source
    white: Whiteness
    spectra: Array


@dataclass(frozen=True)
class Outcomes:
    """What m stacks do to one source: mean (u, v) (m, 2), expected miss in steps (m,), light passed (m,)."""

    uv: Array
    steps: Array
    passed: Array


def advise(request: AdviceRequest, table: Sequence[Gel]) -> Advice:
    """Rank the stacks for every source of a request; `table` serves where the request brings no gels.

    Raises Refused, with the place in the request, for what cannot be measured, matched or searched.
    """
    rack = _rack(request.gels, table)
    with within("target"):
        target = white_of(request.target, request.sources)
    bares = [_bare(source, f"sources[{i}]") for i, source in enumerate(request.sources)]
    alike: defaultdict[tuple[int, ...], list[int]] = defaultdict(list)
    for i, source in enumerate(request.sources):
        with within(f"sources[{i}].keep"):
            alike[tuple(rack.find(source.keep))].append(i)
    answers: dict[int, SourceAdvice] = {}
    for keep, group in alike.items():
        candidates = stacks_on(rack, keep, request.max_layers)
        for i, outcomes in zip(
            group, predict_stacks([bares[i] for i in group], rack, candidates, target), strict=True
        ):
            ranked = rank(outcomes, candidates, request)
            stacks = stack_reports(bares[i], rack, candidates, outcomes, ranked, target)
            answers[i] = SourceAdvice(
                name=bares[i].source.name, needed=needed(bares[i].white, target), stacks=stacks
            )
    return Advice(sources=[answers[i] for i in range(len(bares))])


def predict(request: PredictionRequest, table: Sequence[Gel]) -> StackAdvice:
    """Say what a stack built by hand will do to a source, whether or not it would be ranked."""
    rack = _rack(request.gels, table)
    with within("target"):
        target = white_of(request.target, [request.source])
    bare = _bare(request.source, "source")
    with within("stack"):
        stack = np.array([rack.find(request.stack)], dtype=np.intp).reshape(1, -1)
    [outcomes] = predict_stacks([bare], rack, stack, target)
    return stack_reports(bare, rack, stack, outcomes, [0], target)[0]


def predict_stacks(bares: Sequence[Bare], rack: Rack, stacks: Indices, target: Whiteness) -> list[Outcomes]:
    """Predict every stack (m, w) on every source."""
    sizes = [len(b.spectra) for b in bares]
    all_spectra = np.concatenate([b.spectra for b in bares])
    cuts = np.cumsum(sizes)[:-1]
    uv, passed = [], []
    for start in range(0, len(stacks), _CHUNK):
        light = through(all_spectra, _transmittances(rack, stacks[start : start + _CHUNK]))
        uv.append(light.uv)
        passed.append(light.passed)
    per_source = zip(
        np.split(np.concatenate(uv), cuts, axis=1),
        np.split(np.concatenate(passed), cuts, axis=1),
        strict=True,
    )
    return [
        Outcomes(uv=u.mean(axis=1), steps=distance(u, target.uv).mean(axis=1) / STEP, passed=p.mean(axis=1))
        for u, p in per_source
    ]


def rank(outcomes: Outcomes, stacks: Indices, limits: Limits) -> list[int]:
    """Return the places of the stacks worth showing, best first.

    The first stack, with nothing added, takes part whatever light it costs.
    """
    lost, layers = stops(outcomes.passed), (stacks != NONE).sum(axis=1)
    affordable = np.arange(len(stacks))
    if limits.max_stops is not None:
        affordable = np.flatnonzero((lost <= limits.max_stops) | (affordable == 0))
    front = affordable[pareto(outcomes.steps[affordable], lost[affordable], layers[affordable])]
    order = np.argsort(
        cost(outcomes.steps[front], lost[front], layers[front], limits.tolerance_steps).round(9),
        kind="stable",
    )
    return [int(k) for k in front[order]]


def _transmittances(rack: Rack, stacks: Indices) -> Array:
    """Return the transmittances (m, 81) of stacks (m, w)."""
    product = np.ones((len(stacks), rack.transmittances.shape[1]))
    clear = np.ones((1, rack.transmittances.shape[1]))
    known = np.concatenate([rack.transmittances, clear])  # NONE, the last row, is no gel at all
    for layer in range(stacks.shape[1]):
        product *= known[stacks[:, layer]]
    return product


def _rack(own: Sequence[Gel] | None, table: Sequence[Gel]) -> Rack:
    with within("gels"):
        return rack_of(tuple(table if own is None else own))


def _bare(source: Source, where: str) -> Bare:
    with within(where, "reading"):
        white = measure(source.reading)
    try:
        return Bare(source, white, spectra(source))
    except Unbendable:
        raise Refused.one(
            f"{where}.kind",
            f"no {source.kind.words.lower()} source reads {white.cct:.0f} K, Duv {white.duv:+.4f}",
            "another kind, or unknown; or read the meter again",
        ) from None
