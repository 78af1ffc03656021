"""The light path in colours: source, gels in the order they hang, result, target."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from ...colour.observer.chromaticity import steps_apart, uv_of_xyz
from ...colour.observer.data import Array
from ...colour.observer.grid import weights
from ...colour.observer.patches import hex_of_light, hexes_of_light, skin
from ...colour.spectra.sources import Ensemble, MeteredLight, Unbendable, ensemble_each
from ...model import StackAdvice
from ..stacks.gel_arrays import GelArrays
from ..stacks.prediction import PreparedSource

PATCH = 0.6
"""How bright patches are, against the screen's white: bright enough to compare, easy in the dark."""


def patch(uv: Array, white_uv: Array) -> str:
    """Return ``#rrggbb`` of a patch of light of `uv` to an eye that is set to `white_uv`, both (2,)."""
    return hex_of_light(uv, white_uv, PATCH)


@dataclass(frozen=True)
class Layer:
    """A gel on the light path: its name, and its tint in the target's light."""

    name: str
    tint: str


@dataclass(frozen=True)
class LightPath:
    """Colours as ``#rrggbb``, seen by a camera set to the target."""

    lamp: str
    layers: tuple[Layer, ...]
    after: str
    target: str
    skin: tuple[str, str, str]
    """A skin-like surface in the bare light, behind the stack, and in the target's light."""
    meets: bool = False
    """Whether the result is within a step of the target: no eye sees the edge between them."""


class ShownLight(NamedTuple):
    """A source and the stack that its light goes through; `read` (2,) in (u, v) is what was read behind it.

    Without a reading, the result is what is predicted.
    """

    bare: PreparedSource
    stack: StackAdvice
    read: Array | None = None


def light_paths(shown: Sequence[ShownLight], gel_arrays: GelArrays) -> list[LightPath]:
    """Return the colours of each source's light through its stack, beside the white that it is wanted at."""
    if not shown:
        return []
    gels = gel_arrays.find_each([one.stack.gels for one in shown])
    sheets = [gel_arrays.transmittances[own] for own in gels]
    whites = ensemble_each([MeteredLight("daylight", *one.bare.wanted.uv.tolist()) for one in shown])
    seen = [_seen(one.bare, lit, own) for one, lit, own in zip(shown, whites, sheets, strict=True)]
    xyz = np.concatenate([xyz for xyz, _ in seen])
    uv, luminance = uv_of_xyz(xyz), xyz[:, 1].copy()
    counts = [len(xyz) for xyz, _ in seen]
    ends, target = np.cumsum(counts), np.repeat([one.bare.wanted.uv for one in shown], counts, axis=0)
    for one, (part, full), end in zip(shown, seen, ends, strict=True):
        own = slice(end - len(part), end)
        luminance[own] /= full
        luminance[own][:-_SURFACES] *= PATCH
        uv[own][[_LAMP, _TARGET]] = one.bare.white.uv, one.bare.wanted.uv
        if one.read is not None:
            uv[own][_AFTER] = one.read
    colours = np.split(np.array(hexes_of_light(uv, target, luminance)), ends[:-1])
    wanted = np.array([one.bare.wanted.uv for one in shown])
    meets = steps_apart(uv[ends - np.array(counts) + _AFTER], wanted) <= 1.0
    named = zip(shown, colours, meets.tolist(), strict=True)
    return [_named(one.stack, own.tolist(), meet) for one, own, meet in named]


_LAMP, _AFTER, _TARGET, _SURFACES = 0, 1, 2, 3
"""Where lamp, result and target stand among the colours of a path, before its sheets; surfaces are last."""


def _seen(bare: PreparedSource, wanted: Ensemble | None, sheets: Array) -> tuple[Array, Array]:
    """Return X, Y, Z (n, 3) of what a path shows, and the Y (n,) of light that is as bright as can be.

    `wanted` is daylight of the white that is wanted. Raises Unbendable where there is none.

    In this order: the lamp, the result, the target, each sheet held up against the target's light, and skin
    in each of the first three.
    """
    if wanted is None:
        raise Unbendable("no daylight has this chromaticity")
    lamp, white = bare.mean[0], wanted.mean
    lights = np.stack([lamp, lamp * sheets.prod(axis=0), white])
    xyz = np.concatenate([lights, white * sheets, lights * skin()]) @ weights()
    full = np.concatenate([xyz[:3, 1], np.full(len(sheets), xyz[_TARGET, 1]), xyz[:3, 1]])
    return xyz, full


def _named(stack: StackAdvice, colours: Sequence[str], meets: bool) -> LightPath:
    lamp, after, target, *tints = colours[:-_SURFACES]
    bare, behind, wanted = colours[-_SURFACES:]
    layers = tuple(Layer(*layer) for layer in zip(stack.gels, tints, strict=True))
    return LightPath(lamp, layers, after, target, (bare, behind, wanted), meets)
