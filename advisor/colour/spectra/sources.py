"""Likely spectra for a source when a meter gave only CCT and Duv.

Each kind of source has an ensemble, with two sorts of members:

- Spectra of a locus, and published spectra of the kind. Each is bent smoothly (an exponential slope and bow
  over wavelength) to exactly the chromaticity that the meter read, and weighs less the farther it is bent.
- Members of parametric families, mixed to that chromaticity.

References
----------
CIE 15:2018: illuminants FL1 to FL12, FL3.1 to FL3.15, HP1 to HP5, the LED series; phases of daylight.
Lamp spectra of the colour-science library's data set of light sources, those with general names.
"""

import math
from functools import cache, lru_cache
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from ..observer.cct import cct_duv_of_uv
from ..observer.chromaticity import STEP_DELTA_UV, delta_uv_prime, uv_of_xyz
from ..observer.data import Array, published_each
from ..observer.grid import WAVELENGTHS, all_to_grid, weights
from ..observer.loci import DAYLIGHT_RANGE, daylight, planckian
from ..rendering.figures import NO_FIGURES, Figures, agreement
from .families import family, mixtures
from .tilt import tilt, tilted


class Ensemble(NamedTuple):
    """Spectra (k, 81) that a source may have, each of luminance 1, and their probabilities (k,).

    `measured` is true where the meter read the spectrum itself, so nothing is guessed.
    """

    spectra: Array
    weights: Array
    names: tuple[str, ...]
    measured: bool = False

    @property
    def mean(self) -> Array:
        """The mean spectrum, (81,)."""
        return np.asarray(self.weights @ self.spectra)


class Unbendable(ValueError):
    """No spectrum of the kind can be bent smoothly to the chromaticity that was read."""


class _Family(NamedTuple):
    """A family by name, and what each member weighs. Off the locus that falls, as a Gaussian of Duv `off`."""

    name: str
    weight: float
    off: float = math.inf


class _Kind(NamedTuple):
    """What a kind is made of: loci and published spectra, by name, and families."""

    loci: tuple[str, ...] = ()
    published: tuple[str, ...] = ()
    families: tuple[_Family, ...] = ()
    published_weight: float = 1.0


_KINDS = {
    "tungsten": _Kind(("planckian",), ("Neodimium Incandescent",), published_weight=0.1),
    "daylight": _Kind(("daylight",)),
    "discharge": _Kind(
        (),
        ("HP3", "HP4", "HP5", "Metal Halide", "Mercury"),
        (
            _Family("metal-halide", 0.03, off=0.010),
            _Family("mercury", 0.008),
            _Family("low-pressure-sodium", 0.03),
        ),
    ),
    "led-white": _Kind(
        (),
        ("LED-B1", "LED-B2", "LED-B3", "LED-B4", "LED-B5", "LED-BH1", "LED-V1", "LED-V2"),
        (_Family("white-led", 1.0), _Family("hybrid-led", 0.1)),
    ),
    "led-mix": _Kind(
        (), ("LED-RGB1",), (_Family("rgb", 0.3), _Family("rgb-amber", 1.0), _Family("rgb-lime", 1.0))
    ),
    "fluorescent": _Kind(
        (),
        (
            *(f"FL{i}" for i in range(1, 10)),
            *(f"FL3.{i}" for i in (1, 2, 3, 4, 5, 6, 12, 13, 14, 15)),
            "Cool White FL",
            "Daylight FL",
        ),
    ),
    "fluorescent-triband": _Kind(
        (),
        ("FL10", "FL11", "FL12", *(f"FL3.{i}" for i in range(7, 12)), "Triphosphor FL"),
        (_Family("triband", 0.1),),
    ),
    "sodium": _Kind((), ("HP1", "HP2", "HPS", "Super HPS"), (_Family("low-pressure-sodium", 1.0),)),
}
"""What each kind is made of. Published spectra weigh 1. The weights of families, and the `off` of metal
halide, were set on the even rows of the accuracy check. We chose the rest: the spectra and families of each
kind, the weight of low-pressure sodium, and that of neodymium glass over tungsten."""
BEND_SCALE = 0.3
"""The bend, √(slope² + bow²), at which the weight is exp(−1/2). Set on the even rows of the accuracy
check."""
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
_MOST, _MOST_OF_EACH = 40, 8
"""Members kept of a kind, and of each kind where the kind is unknown. Chosen for speed."""
_X = (WAVELENGTHS - 560.0) / 200.0
_BEND = np.stack([_X, _X**2])


def ensemble(kind: str, uv: Array, seen: Figures = NO_FIGURES) -> Ensemble:
    """Return the spectra that a source of `kind` with chromaticity `uv` (2,) may have.

    `kind` is a value of `model.Kind`; any other raises KeyError. `seen` are other figures that the meter
    printed; members that agree with them weigh more. Raises Unbendable where no light of the kind comes near
    the chromaticity.
    """
    return _ensemble(kind, float(uv[0]), float(uv[1]), seen)


def ensembles(kind: str, uv: Array) -> list[Ensemble | None]:
    """Return an ensemble for each of n chromaticities (n, 2); None where the kind cannot come near it."""
    return _of_kind(kind, uv) if kind != "unknown" else _of_any_kind(uv)


def measured(spectrum: Array, uv: Array) -> Ensemble:
    """Return the ensemble of one measured spectrum (81,), bent to exactly the `uv` (2,) that was measured.

    A single line cannot be bent. It keeps its chromaticity on the grid, if that is within a step of `uv`.
    Raises Unbendable otherwise.
    """
    spectra, _, found = _bent(spectrum[None, :], uv)
    if not found[0]:
        # A single line between two samples cannot be bent: it stays as it is on the grid.
        spectra = spectrum[None, :] / (spectrum @ weights()[:, 1])
        if not delta_uv_prime(uv_of_xyz(spectra @ weights()), uv)[0] <= STEP_DELTA_UV:
            raise Unbendable("the spectrum does not have this chromaticity")
    return Ensemble(spectra, np.ones(1), ("measured",), measured=True)


def behind(lit: Ensemble, transmittance: Array, uv: Array) -> Ensemble:
    """Bend an ensemble further, until every member has `uv` (2,) behind a transmittance (81,).

    This is how a reading behind a gel tells about the source. Members that cannot be bent so far are left
    out; raises Unbendable where none remains.
    """
    strengths, found = tilt(lit.spectra * transmittance, _BEND, np.broadcast_to(uv, (len(lit.spectra), 2)))
    if not found.any():
        raise Unbendable("no bend gives the light behind the gel this chromaticity")
    bent = tilted(lit.spectra[found], _BEND, strengths[found])
    luminance = bent @ weights()[:, 1]
    weight = lit.weights[found] / lit.weights[found].sum()
    kept = tuple(name for name, there in zip(lit.names, found, strict=True) if there)
    return Ensemble(bent / luminance[:, None], weight, kept, lit.measured)


@lru_cache(maxsize=512)
def _ensemble(kind: str, u: float, v: float, seen: Figures) -> Ensemble:
    [plain] = ensembles(kind, np.array([[u, v]]))
    if plain is None:
        raise Unbendable(f"no {kind} spectrum has this chromaticity")
    if not any(figure is not None for figure in seen):
        return plain
    weight = plain.weights * agreement(plain.spectra, seen)
    return plain._replace(weights=weight / weight.sum())


def _of_any_kind(uv: Array) -> list[Ensemble | None]:
    likely = [shares(one) for one in uv]
    kinds = dict.fromkeys(name for each in likely for name in each)
    found = {name: _of_kind(name, uv) for name in kinds}
    return [
        _mixed([(lit, share) for name, share in each.items() if (lit := found[name][k])])
        for k, each in enumerate(likely)
    ]


def _mixed(kinds: list[tuple[Ensemble, float]]) -> Ensemble | None:
    """Join the ensembles of several kinds, each with its probability; None where there are no kinds."""
    parts = [(_heaviest(*lit[:3], _MOST_OF_EACH), share) for lit, share in kinds]
    if not parts:
        return None
    return _heaviest(
        np.concatenate([part.spectra for part, _ in parts]),
        np.concatenate([part.weights * share for part, share in parts]),
        tuple(name for part, _ in parts for name in part.names),
        len(parts) * _MOST_OF_EACH,
    )


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


def _of_kind(kind: str, uv: Array) -> list[Ensemble | None]:
    made = _KINDS[kind]
    cct, duv = cct_duv_of_uv(uv)
    loci = np.array([[_on_locus(locus, at) for locus in made.loci] for at in cct.tolist()])
    known = np.broadcast_to(_on_grid(made.published), (len(uv), len(made.published), len(_X)))
    spectra, bends, found = _bent(np.concatenate([loci.reshape(len(uv), -1, len(_X)), known], axis=1), uv)
    # Logarithms do not underflow: where every spectrum is bent far, the least bent still counts.
    weight = np.where(found, -0.5 * (bends / BEND_SCALE) ** 2, -np.inf)
    weight[:, len(made.loci) :] += np.log(made.published_weight)
    all_spectra, all_weights, names = [spectra], [weight], [*made.loci, *made.published]
    for name, share, off in made.families:
        mixed, possible = mixtures(family(name), uv)
        all_spectra.append(mixed)
        all_weights.append(np.where(possible, (np.log(share) - 0.5 * (duv / off) ** 2)[:, None], -np.inf))
        names += [f"{name} {i}" for i in range(mixed.shape[1])]
    logarithms, each = np.concatenate(all_weights, axis=1), np.concatenate(all_spectra, axis=1)
    return [
        _heaviest(lit, np.exp(weighs - weighs.max()), tuple(names), _MOST)
        if np.isfinite(weighs).any()
        else None
        for lit, weighs in zip(each, logarithms, strict=True)
    ]


def _heaviest(spectra: Array, weight: Array, names: tuple[str, ...], most: int) -> Ensemble:
    """Keep the `most` heaviest members, without those of hardly any weight; weights add up to 1."""
    kept = np.argsort(-weight, kind="stable")[:most]
    kept = np.sort(kept[weight[kept] > 1e-3 * weight.max()])
    return Ensemble(spectra[kept], weight[kept] / weight[kept].sum(), tuple(names[i] for i in kept))


def _bent(spectra: Array, uv: Array) -> tuple[Array, Array, NDArray[np.bool_]]:
    """Bend spectra (..., k, 81) to `uv` (..., 2). Return them at luminance 1, the bends, and which worked."""
    flat, wanted = spectra.reshape(-1, len(_X)), np.repeat(uv.reshape(-1, 2), spectra.shape[-2], axis=0)
    strengths, found = tilt(flat, _BEND, wanted)
    bent = tilted(flat, _BEND, strengths)
    bent /= (bent @ weights()[:, 1])[:, None]
    each = spectra.shape[:-1]
    return bent.reshape(spectra.shape), np.hypot(*strengths.T).reshape(each), found.reshape(each)


def _on_locus(locus: str, cct: float) -> Array:
    low, high = DAYLIGHT_RANGE
    return daylight(cct) if locus == "daylight" and low <= cct <= high else planckian(cct)


@cache
def _on_grid(names: tuple[str, ...]) -> Array:
    """Return published spectra on the grid, (k, 81)."""
    array = all_to_grid(published_each(names))
    array.setflags(write=False)
    return array
