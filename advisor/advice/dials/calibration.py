"""What an adjustable head really gives at a setting of its dials, learnt from its readings.

Measured mired (MK⁻¹) and measured Duv are each modelled as affine in the dial's mired and green, plus a
smooth residual. All is Gaussian: a Bayesian linear regression whose residual is correlated between near
settings. One reading gives the offset, two or more give the slopes. Readings that contradict each other are
averaged. Settings far from any reading stay as uncertain as before. What was read with another modifier tells
the slopes alone: cloth moves the light as a whole, and hardly what the dials do. The priors are the constants
below: our judgement, from memory of how far heads are off their dials, no source.

References
----------
Rasmussen, C. E., Williams, C. K. I. (2006), "Gaussian Processes for Machine Learning", 2.7: regression on
explicit basis functions with Gaussian priors, and a stationary residual.
"""

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from ...colour.observer.data import Array
from ...colour.observer.loci import MIRED_K
from ...model import Reach, Reading, Setting, Source
from ...model.basis.base import name_keys
from ..readings.chromaticity import whites_of
from ..readings.needed import MOST_AT_DIALS

FULL_GREEN = 0.030
"""The Duv expected at the end of a green dial that nobody has read: a full plus or minus green."""


class _Priors(NamedTuple):
    """Standard deviations around “a head does what its dial says”, of one measured coordinate."""

    offset: float
    slope: float
    """For 100 MK⁻¹ on the dial."""
    green: float
    """For the green dial at its end."""
    residual: float
    noise: float
    """Of a single reading: how well a meter repeats itself."""
    dimmed: float
    """Of all that was read at another dim level alike; each reading of it is half as much off on its own."""
    modified: float
    """Of all that was read with another modifier alike."""
    modified_alone: float
    """Of each reading with another modifier, on its own."""


_MIRED = _Priors(offset=10.0, slope=7.0, green=5.0, residual=2.0, noise=0.3, dimmed=2.0,
                 modified=10.0, modified_alone=1.0)  # fmt: skip
_DUV = _Priors(offset=0.005, slope=0.003, green=0.030, residual=0.001, noise=0.0002, dimmed=0.001,
               modified=0.005, modified_alone=0.0005)  # fmt: skip
_NEAR_MIRED, _NEAR_GREEN = 60.0, 1.0
"""The distance at which residuals have little in common, in MK⁻¹ and in shares of the green dial's end."""
_SUPERSEDED = 3.0
"""The factor on the noise of a reading if a newer one has the same setting: the older one counts a ninth."""


class DialReading(NamedTuple):
    """A reading with its dial: the setting, the measured mired and Duv, lux or NaN.

    `counts` is true of the reading that counts for the source. `superseded` is true where a newer reading has
    the same setting and level, `other_level` where this one was read at another dim level than the one that
    counts: at `level`. [%] `other` is the key of its modifier where that is not the one in use, else None.
    """

    setting: Setting
    mired: float
    duv: float
    lux: float
    superseded: bool
    other_level: bool
    counts: bool
    level: float | None = None
    other: str | None = None


class Mapped(NamedTuple):
    """Measured mired [MK⁻¹] and Duv at settings, with their variances; arrays of one shape."""

    mired: Array
    duv: Array
    mired_variance: Array
    duv_variance: Array


@dataclass(frozen=True, eq=False)
class DialFit:
    """A head's mapping from dial to measured, and how its light changes.

    `pairs` are in the order of reading, those with another modifier before all others. `current` is the
    setting of the reading that counts (None where its dial was not noted).
    """

    reach: Reach
    pairs: tuple[DialReading, ...]
    current: Setting | None
    _centre: float
    _solved: tuple[tuple[Array, Array], tuple[Array, Array]]

    @property
    def green_end(self) -> float:
        """The farther end of the green dial, in the head's own numbers; 1 where there is no such dial."""
        return green_end(self.reach)

    def at(self, mired: Array, green: Array) -> Mapped:
        """Return what is measured with the dials at `mired` [MK⁻¹, 1e6 / the dial's CCT] and `green`.

        The arrays broadcast; `green` is in the head's own numbers.
        """
        mired, green = np.broadcast_arrays(np.asarray(mired, np.float64), np.asarray(green, np.float64))
        here = np.stack([(mired - self._centre).ravel(), green.ravel() / self.green_end], axis=1)
        known = self._places()
        found = []
        for priors, (inverse, pull), guess in zip(
            (_MIRED, _DUV), self._solved, (mired, FULL_GREEN * green / self.green_end), strict=True
        ):
            shared = _covariance(priors, here, known)
            alone = (
                priors.offset**2
                + (priors.slope * here[:, 0] / 100.0) ** 2
                + (priors.green * here[:, 1]) ** 2
                + priors.residual**2
            )
            learnt = np.einsum("mn,mn->m", shared @ inverse, shared)
            found.append((guess + (shared @ pull).reshape(mired.shape), np.maximum(alone - learnt, 0.0)))
        (m, vm), (d, vd) = found
        return Mapped(m, d, vm.reshape(mired.shape), vd.reshape(mired.shape))

    def of(self, setting: Setting) -> Mapped:
        """Return what is measured at one setting, as arrays of shape ()."""
        return self.at(np.array(MIRED_K / setting.cct), np.array(setting.green))

    def lit_at(self, mired: Array, green: Array) -> tuple[Mapped, Array]:
        """Return what is measured with the dials there (`at`), and how much brighter it is (`gain`)."""
        return self.at(mired, green), self.gain(mired)

    def gain(self, mired: Array) -> Array:
        """Return how many stops brighter a head is at a dial's `mired` than in the reading that counts.

        Between readings at one dim level, log lux is linear in the dial's mired; beyond them it stays level.
        Where no two settings were read with different lux it is 0: the light is assumed to stay the same.
        """
        known = self.light
        if not known:
            return np.zeros(np.shape(mired))
        at, stops = np.array(sorted(known.items())).T
        return np.asarray(np.interp(mired, at, stops))

    @property
    def light(self) -> dict[float, float]:
        """The gain [stop] at each dial mired that was read with lux; empty where that says nothing.

        Settings are held against each other at the level that counts. Where no two were read there, they are
        at the level at which the most were: a head that turns brighter at full does so dimmed, and so it does
        with another modifier.
        """
        last = self.pairs[-1]
        if not last.counts:
            return {}
        by_level: dict[tuple[str | None, float | None], dict[float, float]] = {}
        for pair in sorted(self.pairs, key=lambda one: one.other is not None):
            if np.isfinite(pair.lux):
                lit = by_level.setdefault((pair.other, pair.level), {})
                lit[MIRED_K / pair.setting.cct] = float(np.log2(pair.lux))
        lit = by_level.get((None, last.level), {})
        if len(lit) < 2:
            lit = max(by_level.values(), key=len, default={})
        if len(lit) < 2:
            return {}
        at, stops = np.array(sorted(lit.items())).T
        own = float(np.interp(MIRED_K / last.setting.cct, at, stops))
        found = {mired: stop - own for mired, stop in lit.items()}
        return found if any(found.values()) else {}  # that of another setting may stand in for its own

    def _places(self) -> Array:
        """Return the settings read, (n, 2): mired from the centre, and share of the green dial's end."""
        return np.array(
            [[MIRED_K / p.setting.cct - self._centre, p.setting.green / self.green_end] for p in self.pairs]
        )


def green_end(reach: Reach) -> float:
    """Return the farther end of a green dial, in the head's own numbers; 1 where there is none."""
    return max(abs(reach.green_from), abs(reach.green_to)) or 1.0


def fit_dial(source: Source) -> DialFit | None:
    """Fit a head's mapping to its readings without gel; `source` is as it is used.

    None where it is no adjustable head, or no reading with the modifier in use has its dial noted.
    """
    pairs = _pairs(source)
    if source.reach is None or not pairs:
        return None
    centre = MIRED_K / pairs[-1].setting.cct
    end = green_end(source.reach)
    places = np.array([[MIRED_K / p.setting.cct - centre, p.setting.green / end] for p in pairs])
    off = (
        np.array([p.mired for p in pairs]) - (places[:, 0] + centre),
        np.array([p.duv for p in pairs]) - FULL_GREEN * places[:, 1],
    )
    solved = []
    for priors, rest in zip((_MIRED, _DUV), off, strict=True):
        read = _covariance(priors, places, places) + _noise(priors, pairs)
        inverse = np.asarray(np.linalg.inv(read), np.float64)
        solved.append((inverse, inverse @ rest))
    return DialFit(source.reach, tuple(pairs), source.reading.dial, centre, (solved[0], solved[1]))


def _noise(priors: _Priors, pairs: list[DialReading]) -> Array:
    """Return how far readings are off what the head does at the level in use, as a covariance (n, n).

    A dimmed head moves as a whole, and so does one behind cloth: ten readings of another level, or with
    another modifier, say no more about where this one is than a few.
    """
    again = np.array([_SUPERSEDED if p.superseded else 1.0 for p in pairs])
    other = np.array([p.other_level for p in pairs])
    levels = np.array([np.nan if p.level is None else p.level for p in pairs])
    alike = (levels[:, None] == levels) | (np.isnan(levels)[:, None] & np.isnan(levels))
    shared = alike & other[:, None] & other
    modified = np.array([p.other or "" for p in pairs])
    is_modified = np.array([p.other is not None for p in pairs])
    cloth = (modified[:, None] == modified) & is_modified[:, None] & is_modified
    alone = (priors.noise * again) ** 2 + np.where(other, (priors.dimmed / 2.0) ** 2, 0.0)
    alone = alone + np.where(is_modified, priors.modified_alone**2, 0.0)
    return np.asarray(priors.dimmed**2 * shared + priors.modified**2 * cloth + np.diag(alone))


def _covariance(priors: _Priors, a: Array, b: Array) -> Array:
    """Return the prior covariance of what is measured at settings (m, 2) and (n, 2), (m, n)."""
    apart = ((a[:, None, 0] - b[None, :, 0]) / _NEAR_MIRED) ** 2
    apart = apart + ((a[:, None, 1] - b[None, :, 1]) / _NEAR_GREEN) ** 2
    along = np.outer(a[:, 0], b[:, 0]) * (priors.slope / 100.0) ** 2
    across = np.outer(a[:, 1], b[:, 1]) * priors.green**2
    return np.asarray(priors.offset**2 + along + across + priors.residual**2 * np.exp(-0.5 * apart))


def _pairs(source: Source) -> list[DialReading]:
    """Return a source's readings that note the dials and are whites, oldest first, other modifiers before.

    None where none has the modifier in use. One setting with another modifier tells nothing of the dials.
    """
    noted = [reading for reading in _newest_first(source) if reading.dial is not None and not reading.gels]
    own, *keys = name_keys([source.modifier_in_use, *(reading.modifier for reading in noted)])
    settings: dict[str, set[tuple[float, float]]] = {}
    for reading, key in zip(noted, keys, strict=True):
        if reading.dial is not None:
            settings.setdefault(key, set()).add((reading.dial.cct, reading.dial.green))
    if own not in settings:
        return []
    placed = list(zip(noted, keys, whites_of(noted), strict=True))
    ordered = [one for one in placed if one[1] == own]
    ordered += [one for one in placed if one[1] != own and len(settings[one[1]]) > 1]
    found: list[DialReading] = []
    seen: set[tuple[float, float, float | None, str]] = set()
    for reading, key, white in ordered:
        dial = reading.dial
        if dial is None or white is None:
            continue
        said = (dial.cct, dial.green, reading.level, key)
        pair = DialReading(
            dial,
            MIRED_K / white.cct,
            white.duv,
            lux=np.nan if reading.lux is None else reading.lux,
            superseded=said in seen,
            other_level=reading.level != source.reading.level,
            counts=reading is source.reading,
            level=reading.level,
            other=None if key == own else key,
        )
        if not found and pair.other is not None:
            return []  # with its own modifier it was no white
        found.append(pair)
        seen.add(said)
        if len(found) == MOST_AT_DIALS:
            break
    return found[::-1]


def _newest_first(source: Source) -> list[Reading]:
    """Return a source's readings, the one that counts first; as it is used, that may be an older one."""
    return [source.reading, *(r for r in reversed(source.readings) if r != source.reading)]
