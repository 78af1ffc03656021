"""Spectra for sources of which only a meter's CCT and Duv are known.

A kind of source is an ensemble: published spectra of its kind, each bent smoothly (an exponential slope
and bow over wavelength) until it has exactly the chromaticity that the meter read, and members of the
parametric families, mixed to that chromaticity. What has to be bent far weighs little.

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

from .cct import cct_duv_of_uv
from .chromaticity import STEP_DELTA_UV, delta_uv_prime, uv_of_xyz
from .data import Array, published
from .families import family, mixtures
from .figures import NO_FIGURES, Figures, agreement
from .grid import WAVELENGTHS, to_grid, weights
from .loci import DAYLIGHT_RANGE, daylight, planckian
from .tilt import tilt, tilted


class Ensemble(NamedTuple):
    """Spectra (k, 81) that a source may have, each of luminance 1, and their probabilities (k,).

    `measured` says that the spectrum itself was read, so that nothing about it is guessed.
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
    """No smooth bend gives any spectrum of the kind the reading's chromaticity."""


class _Family(NamedTuple):
    """A family by name, and what each member weighs: less off the locus, as a Gaussian of Duv `off`."""

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
"""What each kind is made of. What families weigh beside published spectra, which weigh 1, and how far off the
locus metal halides lie, was set on the even rows of the accuracy check. Chosen by us: which spectra and
families a kind has, the weight of low-pressure sodium, and that of neodymium glass over tungsten."""
BEND_SCALE = 0.3
"""A bend of this size, √(slope² + bow²), weighs exp(−1/2). Set on the even rows of the accuracy check."""
_SHARES = {
    "tungsten": 0.2, "daylight": 0.15, "discharge": 0.1, "led-white": 0.3, "led-mix": 0.1, "fluorescent": 0.1,
    "fluorescent-triband": 0.05,
}  # fmt: skip
"""How likely each kind is where it is not known and not sodium: a judgement of ours, no source."""
_SODIUM, _SODIUM_FROM, _SODIUM_BELOW, _SODIUM_DUV = 0.5, 2600.0, 2000.0, 0.008
"""Sodium's share of what is not known: none from the first CCT up, the whole below the second [K], smooth
over mireds between; off the locus it falls as a Gaussian of this Duv. A judgement of ours, no source: street
lamps read 1 800 to 2 200 K, those of better colour up to 2 500 K (CIE 15:2018, HP1 and HP2)."""
_MOST, _MOST_OF_EACH = 40, 8
"""Members kept of a kind; and of each kind where the kind is not known. Chosen, so that it stays quick."""
_X = (WAVELENGTHS - 560.0) / 200.0
_BEND = np.stack([_X, _X**2])


def ensemble(kind: str, uv: Array, seen: Figures = NO_FIGURES) -> Ensemble:
    """Return the spectra that a source of `kind` with chromaticity `uv` (2,) may have.

    `kind` is a value of `model.Kind`; KeyError for another. `seen` are further figures that a meter printed;
    members that have them weigh more. Raises Unbendable where the chromaticity is too far from anything that
    the kind can be.
    """
    return _ensemble(kind, float(uv[0]), float(uv[1]), seen)


def ensembles(kind: str, uv: Array) -> list[Ensemble | None]:
    """Return the same for n chromaticities (n, 2) at once; None for each that is too far from the kind."""
    return _of_kind(kind, uv) if kind != "unknown" else _of_any_kind(uv)


def measured(spectrum: Array, uv: Array) -> Ensemble:
    """Return the ensemble of a single spectrum (81,) that was measured, with exactly its own `uv` (2,).

    Light of one wavelength keeps the chromaticity that it has on the grid, within a step of its own.
    """
    spectra, _, found = _bent(spectrum[None, :], uv)
    if not found[0]:
        # A lone line between two samples can be bent to nothing else; it stays as the grid has it.
        spectra = spectrum[None, :] / (spectrum @ weights()[:, 1])
        if not delta_uv_prime(uv_of_xyz(spectra @ weights()), uv)[0] <= STEP_DELTA_UV:
            raise Unbendable("the spectrum does not have this chromaticity")
    return Ensemble(spectra, np.ones(1), ("measured",), measured=True)


def behind(lit: Ensemble, transmittance: Array, uv: Array) -> Ensemble:
    """Return an ensemble bent further, so that behind a transmittance (81,) all members have `uv` (2,).

    It is what is known of a source after its light was read behind a gel. Raises Unbendable where no member
    can be bent so.
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
    """Return one ensemble of some kinds, each of which is likely to some share; None of none."""
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
    """Return how likely each kind is where a source of chromaticity `uv` (2,) is of no known kind.

    They add up to 1; a kind may still have no spectrum of this chromaticity.
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
    # Weights as logarithms: where all had to be bent far, it is still the least bent that count.
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
    """Keep what weighs something, at most `most` members, with weights that add up to 1."""
    kept = np.argsort(-weight, kind="stable")[:most]
    kept = np.sort(kept[weight[kept] > 1e-3 * weight.max()])
    return Ensemble(spectra[kept], weight[kept] / weight[kept].sum(), tuple(names[i] for i in kept))


def _bent(spectra: Array, uv: Array) -> tuple[Array, Array, NDArray[np.bool_]]:
    """Bend spectra (..., k, 81) to `uv` (..., 2): at luminance 1, with the size of each, and if found."""
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
    found = [to_grid(*published(name)) for name in names]
    array = np.array(found).reshape(-1, len(WAVELENGTHS))
    array.setflags(write=False)
    return array
