"""Sources made ready, and what stacks do to them."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from ..colour.chromaticity import STEP, distance
from ..colour.data import Array
from ..colour.predict import through
from ..colour.sources import Unbendable
from ..model import Refused, Source
from ..model.problems import within
from .measure import Whiteness, measure, spectra
from .rack import Rack
from .stacks import Indices

_CHUNK = 4096
"""Stacks predicted at a time: their transmittances stay within a few megabytes."""


@dataclass(frozen=True)
class Bare:
    """A source as the prediction needs it: its white, the spectra (k, 81) it may have, what hangs anyway."""

    source: Source
    white: Whiteness
    spectra: Array
    keep: tuple[int, ...]


@dataclass(frozen=True)
class Outcomes:
    """What m stacks do to one source: mean (u, v) (m, 2), expected miss in steps (m,), light passed (m,)."""

    uv: Array
    steps: Array
    passed: Array


def prepare(source: Source, rack: Rack) -> Bare:
    """Find what the prediction needs of a source.

    Raises Refused, with the place in the source, where it cannot be measured, bent or fitted with gels.
    """
    with within("reading"):
        white = measure(source.reading)
    with within("keep"):
        keep = tuple(rack.find(source.keep))
    try:
        return Bare(source, white, spectra(source), keep)
    except Unbendable:
        raise Refused.one(
            "kind",
            f"no {source.kind.words.lower()} source reads {white.cct:.0f} K, Duv {white.duv:+.4f}",
            "another kind, or unknown; or read the meter again",
        ) from None


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


def _transmittances(rack: Rack, stacks: Indices) -> Array:
    """Return the transmittances (m, 81) of stacks (m, w)."""
    product = np.ones((len(stacks), rack.transmittances.shape[1]))
    clear = np.ones((1, rack.transmittances.shape[1]))
    known = np.concatenate([rack.transmittances, clear])  # NONE, the last row, is no gel at all
    for layer in range(stacks.shape[1]):
        product *= known[stacks[:, layer]]
    return product
