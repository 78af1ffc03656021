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

from collections.abc import Mapping, Sequence
from functools import cache
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from ..observer.cct import cct_duv_of_uv
from ..observer.chromaticity import STEP_DELTA_UV, delta_uv_prime, tilt, tilted, uv_of_xyz
from ..observer.data import Array, published_each
from ..observer.grid import WAVELENGTHS, all_to_grid, weights
from ..observer.loci import DAYLIGHT_RANGE, daylight, planckian
from ..rendering.figures import NO_FIGURES, Figures, agreement
from . import kinds
from .families import family, mixtures
from .kinds import shares
from .last_asked import LastAsked


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


BEND_SCALE = 0.3
"""The bend, √(slope² + bow²), at which the weight is exp(−1/2). Set on the even rows of the accuracy
check."""
_MOST, _MOST_OF_EACH = 40, 8
"""Members kept of a kind, and of each kind where the kind is unknown. Chosen for speed."""
_X = (WAVELENGTHS - 560.0) / 200.0
_BEND = np.stack([_X, _X**2])


class MeteredLight(NamedTuple):
    """A light of a `kind` (a value of `model.Kind`) whose chromaticity (u, v) a meter read.

    `figures` are what else it printed: members that agree with them weigh more.
    """

    kind: str
    u: float
    v: float
    figures: Figures = NO_FIGURES


def ensemble(kind: str, uv: Array, seen: Figures = NO_FIGURES) -> Ensemble:
    """Return the spectra that a source of `kind` with chromaticity `uv` (2,) may have, as `ensemble_each`.

    Raises Unbendable where no light of the kind comes near the chromaticity.
    """
    [found] = ensemble_each([MeteredLight(kind, float(uv[0]), float(uv[1]), seen)])
    if found is None:
        raise Unbendable(f"no {kind} spectrum has this chromaticity")
    return found


def ensemble_each(seen: Sequence[MeteredLight]) -> list[Ensemble | None]:
    """Return the spectra that each light may have; None where its kind cannot come near what was read.

    The lights that were asked for last are kept. Raises KeyError for a kind that is not there.
    """
    return _KEPT.of_all(seen, _ensembles)


def _ensembles(seen: Sequence[MeteredLight]) -> list[Ensemble | None]:
    plain = _plain([(one.kind, np.array([one.u, one.v])) for one in seen])
    return [_agreeing(lit, one.figures) for one, lit in zip(seen, plain, strict=True)]


def forget() -> None:
    """Forget the lights that are kept, as after a change of a constant."""
    _KEPT.clear()


_KEPT = LastAsked[MeteredLight, Ensemble | None](512)


def ensembles(kind: str, uv: Array) -> list[Ensemble | None]:
    """Return an ensemble for each of n chromaticities (n, 2); None where the kind cannot come near it."""
    return _plain([(kind, one) for one in uv])


def measured(spectrum: Array, uv: Array) -> Ensemble:
    """Return the ensemble of one measured spectrum (81,), bent to exactly the `uv` (2,) that was measured.

    A single line cannot be bent. It keeps its chromaticity on the grid, if that is within a step of `uv`.
    Raises Unbendable otherwise.
    """
    [(bent, _, found)] = _bent([spectrum[None, None]], [uv[None]])
    spectra = bent[0]
    if not found.all():
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


def _agreeing(plain: Ensemble | None, figures: Figures) -> Ensemble | None:
    if plain is None or not any(figure is not None for figure in figures):
        return plain
    weight = plain.weights * agreement(plain.spectra, figures)
    return plain._replace(weights=weight / weight.sum())


def _plain(asked: Sequence[tuple[str, Array]]) -> list[Ensemble | None]:
    """Return the ensembles of lights by their kinds and chromaticities (2,), all in one run of the solver."""
    likely = [{kind: 1.0} if kind != "unknown" else shares(uv) for kind, uv in asked]
    indices: dict[str, list[int]] = {}
    for k, each in enumerate(likely):
        for name in each:
            indices.setdefault(name, []).append(k)
    made = _of_kinds({name: np.array([asked[k][1] for k in own]) for name, own in indices.items()})
    found = {(name, k): lit for name, own in indices.items() for k, lit in zip(own, made[name], strict=True)}
    return [
        found[kind, k]
        if kind != "unknown"
        else _mixed([(lit, share) for name, share in each.items() if (lit := found[name, k])])
        for k, ((kind, _), each) in enumerate(zip(asked, likely, strict=True))
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


def _of_kinds(uv: Mapping[str, Array]) -> dict[str, list[Ensemble | None]]:
    """Return the ensembles of each kind for its chromaticities (n, 2)."""
    if not uv:
        return {}
    cct, duv = cct_duv_of_uv(np.concatenate(list(uv.values())))
    starts, sizes = [], np.cumsum([len(own) for own in uv.values()])[:-1]
    for kind, own in zip(uv, np.split(cct, sizes), strict=True):
        loci = np.array([[_on_locus(locus, at) for locus in kinds.KINDS[kind].loci] for at in own.tolist()])
        known = _on_grid(kinds.KINDS[kind].published)
        known = np.broadcast_to(known, (len(own), *known.shape))
        starts.append(np.concatenate([loci.reshape(len(own), -1, len(_X)), known], axis=1))
    bent = _bent(starts, list(uv.values()))
    each = zip(uv.items(), bent, np.split(duv, sizes), strict=True)
    return {kind: _of_kind(kind, own, *parts, off) for (kind, own), parts, off in each}


def _of_kind(
    kind: str, uv: Array, spectra: Array, bends: Array, found: NDArray[np.bool_], duv: Array
) -> list[Ensemble | None]:
    """Return a kind's ensembles for n chromaticities, by its spectra (n, k, 81), bent there, and families."""
    made = kinds.KINDS[kind]
    # Logarithms do not underflow: where every spectrum is bent far, the least bent still counts.
    weight = np.where(found, -0.5 * (bends / BEND_SCALE) ** 2, -np.inf)
    weight[:, len(made.loci) :] += np.log(made.published_weight)
    names = [*made.loci, *made.published]
    if made.families:
        members = [family(name) for name, _, _ in made.families]
        mixed, possible = mixtures(np.concatenate(members), uv)
        own = [np.log(share) - 0.5 * (duv / off) ** 2 for _, share, off in made.families]
        each = np.repeat(np.stack(own, axis=1), [len(some) for some in members], axis=1)
        spectra = np.concatenate([spectra, mixed], axis=1)
        weight = np.concatenate([weight, np.where(possible, each, -np.inf)], axis=1)
        for (name, _, _), some in zip(made.families, members, strict=True):
            names += [f"{name} {i}" for i in range(len(some))]
    return [
        _heaviest(lit, np.exp(weighs - weighs.max()), tuple(names), _MOST)
        if np.isfinite(weighs).any()
        else None
        for lit, weighs in zip(spectra, weight, strict=True)
    ]


def _heaviest(spectra: Array, weight: Array, names: tuple[str, ...], most: int) -> Ensemble:
    """Keep the `most` heaviest members, without those of hardly any weight; weights add up to 1."""
    kept = np.argsort(-weight, kind="stable")[:most]
    kept = np.sort(kept[weight[kept] > 1e-3 * weight.max()])
    return Ensemble(spectra[kept], weight[kept] / weight[kept].sum(), tuple(names[i] for i in kept))


def _bent(spectra: Sequence[Array], uv: Sequence[Array]) -> list[tuple[Array, Array, NDArray[np.bool_]]]:
    """Bend several lots of spectra (n, k, 81) to their `uv` (n, 2), all together.

    Return of each lot the spectra at luminance 1, the bends, and which worked.
    """
    flat = np.concatenate([lot.reshape(-1, len(_X)) for lot in spectra])
    wanted = np.concatenate(
        [np.repeat(at, lot.shape[1], axis=0) for lot, at in zip(spectra, uv, strict=True)]
    )
    strengths, found = tilt(flat, _BEND, wanted)
    bent = tilted(flat, _BEND, strengths)
    bent /= (bent @ weights()[:, 1])[:, None]
    ends = np.cumsum([lot.shape[0] * lot.shape[1] for lot in spectra])[:-1]
    parts = zip(
        spectra, *(np.split(part, ends) for part in (bent, np.hypot(*strengths.T), found)), strict=True
    )
    return [(own.reshape(lot.shape), *(v.reshape(lot.shape[:2]) for v in rest)) for lot, own, *rest in parts]


def _on_locus(locus: str, cct: float) -> Array:
    low, high = DAYLIGHT_RANGE
    return daylight(cct) if locus == "daylight" and low <= cct <= high else planckian(cct)


@cache
def _on_grid(names: tuple[str, ...]) -> Array:
    """Return published spectra on the grid, (k, 81)."""
    array = all_to_grid(published_each(names))
    array.setflags(write=False)
    return array
