"""What each kind of source is made of, and how likely each kind is where nobody knows it.

References
----------
CIE 15:2018: illuminants FL1 to FL12, FL3.1 to FL3.15, HP1 to HP5, the LED series; phases of daylight.
Lamp spectra of the colour-science library's data set of light sources, those with general names.
"""

import math
from typing import NamedTuple

from ..observer.cct import cct_duv_of_uv
from ..observer.data import Array


class FamilyWeight(NamedTuple):
    """A family by name, and what each member weighs. Off the locus that falls, as a Gaussian of Duv `off`."""

    name: str
    weight: float
    off: float = math.inf


class KindParts(NamedTuple):
    """What a kind is made of: loci and published spectra, by name, and families."""

    loci: tuple[str, ...] = ()
    published: tuple[str, ...] = ()
    families: tuple[FamilyWeight, ...] = ()
    published_weight: float = 1.0


KINDS = {
    "tungsten": KindParts(("planckian",), ("Neodimium Incandescent",), published_weight=0.1),
    "daylight": KindParts(("daylight",)),
    "discharge": KindParts(
        (),
        ("HP3", "HP4", "HP5", "Metal Halide", "Mercury"),
        (
            FamilyWeight("metal-halide", 0.03, off=0.010),
            FamilyWeight("mercury", 0.008),
            FamilyWeight("low-pressure-sodium", 0.03),
        ),
    ),
    "led-white": KindParts(
        (),
        ("LED-B1", "LED-B2", "LED-B3", "LED-B4", "LED-B5", "LED-BH1", "LED-V1", "LED-V2"),
        (FamilyWeight("white-led", 1.0), FamilyWeight("hybrid-led", 0.1)),
    ),
    "led-mix": KindParts(
        (),
        ("LED-RGB1",),
        (FamilyWeight("rgb", 0.3), FamilyWeight("rgb-amber", 1.0), FamilyWeight("rgb-lime", 1.0)),
    ),
    "fluorescent": KindParts(
        (),
        (
            *(f"FL{i}" for i in range(1, 10)),
            *(f"FL3.{i}" for i in (1, 2, 3, 4, 5, 6, 12, 13, 14, 15)),
            "Cool White FL",
            "Daylight FL",
        ),
    ),
    "fluorescent-triband": KindParts(
        (),
        ("FL10", "FL11", "FL12", *(f"FL3.{i}" for i in range(7, 12)), "Triphosphor FL"),
        (FamilyWeight("triband", 0.1),),
    ),
    "sodium": KindParts((), ("HP1", "HP2", "HPS", "Super HPS"), (FamilyWeight("low-pressure-sodium", 1.0),)),
}
"""What each kind is made of. Published spectra weigh 1. The weights of families, and the `off` of metal
halide, were set on the even rows of the accuracy check. We chose the rest: the spectra and families of each
kind, the weight of low-pressure sodium, and that of neodymium glass over tungsten."""
_SHARES = {
    "tungsten": 0.2, "daylight": 0.15, "discharge": 0.1, "led-white": 0.3, "led-mix": 0.1, "fluorescent": 0.1,
    "fluorescent-triband": 0.05,
}  # fmt: skip
"""The probability of each kind where the kind is unknown, sodium aside. Our judgement, no source."""
_SODIUM, _SODIUM_FROM, _SODIUM_BELOW, _SODIUM_DUV = 0.5, 2600.0, 2000.0, 0.008
"""The probability of sodium where the kind is unknown: `_SODIUM` below `_SODIUM_BELOW` [K], 0 above
`_SODIUM_FROM` [K], and a smooth step over mireds between. Off the locus it falls as a Gaussian of Duv whose
deviation is `_SODIUM_DUV`. Our judgement, no source: street lamps read 1 800 to 2 200 K, those of better
colour up to 2 500 K (CIE 15:2018, HP1 and HP2)."""


def shares(uv: Array) -> dict[str, float]:
    """Return the probability of each kind for a source of unknown kind with chromaticity `uv` (2,).

    They add up to 1. Some of the kinds may have no spectrum of this chromaticity.
    """
    cct, duv = (float(v) for v in cct_duv_of_uv(uv))
    high, low = 1.0 / _SODIUM_BELOW, 1.0 / _SODIUM_FROM
    t = min(max((1.0 / cct - low) / (high - low), 0.0), 1.0)
    sodium = _SODIUM * t * t * (3.0 - 2.0 * t) * math.exp(-0.5 * (duv / _SODIUM_DUV) ** 2)
    others = {name: share * (1.0 - sodium) for name, share in _SHARES.items()}
    return others | ({"sodium": sodium} if sodium else {})
