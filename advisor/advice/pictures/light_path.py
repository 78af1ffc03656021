"""The light path in colours: source, gels in the order they hang, result, target."""

from collections.abc import Sequence
from dataclasses import dataclass

from ...colour.observer.chromaticity import uv_of_xyz
from ...colour.observer.data import Array
from ...colour.observer.grid import weights
from ...colour.observer.patches import hex_of_light, hex_of_surface, skin
from ...colour.spectra.sources import ensemble
from ...model import StackAdvice
from ..readings.chromaticity import WhitePoint
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


def light_path(
    bare: PreparedSource, stack: StackAdvice, gel_arrays: GelArrays, read: Array | None = None
) -> LightPath:
    """Return the colours of a source's light through a stack, beside the white that it is wanted at.

    `read` (2,) in (u, v) is what was read behind the stack, where something was: the result is then that.
    """
    target = bare.wanted
    gels = gel_arrays.find(stack.gels)
    gelled = bare.mean[0] * gel_arrays.product(gels)
    after = uv_of_xyz(gelled @ weights()) if read is None else read
    white = _light_of(target)
    return LightPath(
        lamp=patch(bare.white.uv, target.uv),
        layers=tuple(
            Layer(name, tint)
            for name, tint in zip(stack.gels, _tints(gel_arrays.transmittances[gels], target), strict=True)
        ),
        after=patch(after, target.uv),
        target=patch(target.uv, target.uv),
        skin=(
            hex_of_surface(bare.mean[0], skin(), target.uv),
            hex_of_surface(gelled, skin(), target.uv),
            hex_of_surface(white, skin(), target.uv),
        ),
    )


def _tints(transmittances: Array, target: WhitePoint) -> Sequence[str]:
    """Colour the gels as they look held up against a light of the target's white."""
    light = _light_of(target)
    bare = light @ weights()
    seen = (light * transmittances) @ weights()
    return [hex_of_light(uv_of_xyz(xyz), target.uv, PATCH * xyz[1] / bare[1]) for xyz in seen]


def _light_of(target: WhitePoint) -> Array:
    """Return a smooth spectrum (81,) of the target's white."""
    return ensemble("daylight", target.uv).mean
