"""Samples of a spectrum as they stand in a text: what is wrong with them, how they come to even steps."""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray
from pydantic import ValidationError

from ...model import Problem, Refused, Spectrum, problems_in
from .sample import Sample, refuse_all, with_ends, with_numbers

#: The fewest samples: from 400 to 700 nm in steps of 20 nm.
FEWEST = 16
#: The most samples in one spectrum; more would be finer than any of them is wanted.
MOST = 20_000
WIDEST_STEP = 20.0
"""How far apart all samples may stand. [nm]"""
WIDEST_GAP = 10.0
"""How far apart two of finer samples may stand. [nm]"""
WIDEST_ARM = 25.0
"""How far apart they may stand in a list of corners, between 400 and 700 nm. [nm] (our own judgement)"""
KEPT = (300.0, 1000.0)
"""What is kept of a wider spectrum: the eye sees none of the rest. [nm]"""
_NOISE = 0.005
"""A negative value nearer to zero than this share of the largest is a meter's noise (our own judgement)."""
_ROUNDED = 0.06
"""How far a wavelength printed with one decimal may be from an even step. [nm]"""
_LARGEST = 1e30
_SEVERAL = ". Several spectra side by side, or each by itself"

_Array = NDArray[np.float64]


def to_spectrum(samples: Sequence[Sample], *, where: str, reach: float = 0.0) -> tuple[Spectrum, list[str]]:
    """Return the spectrum that samples describe, in even steps of 1 to 20 nm, and what was done to them.

    Wavelengths in µm, metres or ångström are taken as such, and falling ones turned round. `where` is the
    place of the whole spectrum; what lacks up to `reach` nm of 400 to 700 nm is held as it ends. A sample
    without a number is left out, with a note. Raises Refused with what is wrong: wavelengths that are none,
    out of order or twice; gaps; negative values; no light; too few samples; not from 400 to 700 nm.
    """
    if not samples:
        raise Refused.one(where, "the spectrum has no samples", f"at least {FEWEST}, from 400 to 700 nm")
    if len(samples) > MOST:
        raise Refused.one(where, f"the spectrum has {len(samples)} samples", f"at most {MOST}")
    notes: list[str] = []
    samples = _rising(_in_nm(samples, notes), notes)
    refuse_all(_disorder(samples))
    samples, lost = with_numbers(_kept(samples, notes), notes)
    if not samples:
        raise Refused.one(where, "the spectrum holds no numbers", f"at least {FEWEST}, from 400 to 700 nm")
    samples = with_ends(samples, reach, notes)
    refuse_all([*_too_few(samples, lost, where), *_gaps(samples, lost), *_bad_values(samples, where)])
    wavelengths = np.array([s.wavelength for s in samples])
    values = np.array([s.value for s in samples])
    if np.any(values < 0):
        at = int(np.argmin(values))
        notes.append(
            f"{np.count_nonzero(values < 0)} slightly negative values are taken as 0 "
            f"(the lowest, {values[at]:g} at {wavelengths[at]:g} nm, is noise beside {values.max():g})"
        )
        values = np.maximum(values, 0.0)
    if 2 <= values.max() <= 255 and np.all(values == np.round(values)):
        notes.append(
            f"the values are whole numbers of 0 to {values.max():g}: relative ones will do, but steps this "
            "coarse cost accuracy where the light is weak"
        )
    within = [at for at in lost if wavelengths[0] < at < wavelengths[-1]]
    steps = np.union1d(wavelengths, within)
    return _even(steps, np.interp(steps, wavelengths, values), notes, where), notes


def _in_nm(samples: Sequence[Sample], notes: list[str]) -> Sequence[Sample]:
    """Bring wavelengths to nm; light has none that could be taken for those of another unit."""
    low, high = min(s.wavelength for s in samples), max(s.wavelength for s in samples)
    units = [
        (1e-7, 5e-6, 1e9, "metres"),
        (0.1, 3.0, 1e3, "µm"),
        (2000.0, 50_000.0, 0.1, "ångström"),
    ]
    for least, most, factor, unit in units:
        if least <= low < most / 3 and high <= most:
            notes.append(f"the wavelengths, {low:g} to {high:g}, are in {unit}")
            samples = [replace(s, wavelength=round(s.wavelength * factor, 6)) for s in samples]
            break
    refuse_all(
        [
            Problem(
                where=s.where,
                says=f"the wavelength {s.wavelength:g} is none of light",
                allowed="wavelengths in nm, of 100 to 10 000",
            )
            for s in samples
            if not 100.0 <= s.wavelength <= 10_000.0
        ]
    )
    return samples


def _rising(samples: Sequence[Sample], notes: list[str]) -> Sequence[Sample]:
    if len(samples) > 2 and all(b.wavelength < a.wavelength for a, b in pairwise(samples)):
        says = f"the wavelengths fall, from {samples[0].wavelength:g} to {samples[-1].wavelength:g} nm"
        notes.append(f"{says}: turned round")
        return samples[::-1]
    return samples


def _disorder(samples: Sequence[Sample]) -> list[Problem]:
    problems = []
    seen: dict[float, str] = {}
    before = samples[0]
    for sample in samples:
        if sample.wavelength in seen:
            says = f"{sample.wavelength:g} nm is there twice, first on {seen[sample.wavelength]}"
            problems.append(Problem(where=sample.where, says=says, allowed="each wavelength once" + _SEVERAL))
        elif sample.wavelength < before.wavelength:
            says = f"{sample.wavelength:g} nm comes after {before.wavelength:g} nm"
            problems.append(
                Problem(where=sample.where, says=says, allowed="wavelengths that increase" + _SEVERAL)
            )
        seen.setdefault(sample.wavelength, sample.where)
        before = sample
    return problems


def _kept(samples: Sequence[Sample], notes: list[str]) -> Sequence[Sample]:
    low, high = KEPT
    kept = [s for s in samples if low <= s.wavelength <= high]
    if 0 < len(kept) < len(samples):
        notes.append(f"what lies outside {low:g} to {high:g} nm is left out: the eye does not see it")
    return kept or samples


def _too_few(samples: Sequence[Sample], lost: Sequence[float], where: str) -> Iterator[Problem]:
    if not _are_enough(samples, lost):
        says = f"the spectrum has {len(samples)} samples"
        yield Problem(where=where, says=says, allowed=f"at least {FEWEST}, from 400 to 700 nm")
    first, last = samples[0].wavelength, samples[-1].wavelength
    if first > 400 or last < 700:
        yield Problem(
            where=where,
            says=f"the spectrum runs from {first:g} to {last:g} nm",
            allowed="from 400 nm or below to 700 nm or above",
        )


def _are_enough(samples: Sequence[Sample], lost: Sequence[float]) -> bool:
    return len(samples) >= 2 and len(samples) + len(lost) >= FEWEST


def _gaps(samples: Sequence[Sample], lost: Sequence[float]) -> Iterator[Problem]:
    if not _are_enough(samples, lost):
        return  # which is said already
    steps = np.diff([s.wavelength for s in samples])
    usual = float(np.median(steps))
    corners = _is_corners(steps)
    if usual > WIDEST_STEP + _ROUNDED and not corners:
        says = f"the samples stand {usual:g} nm apart"
        yield Problem(where=samples[0].where, says=says, allowed=f"steps of 1 to {WIDEST_STEP:g} nm")
        return
    widest = WIDEST_ARM if corners else max(WIDEST_GAP, usual)
    for before, after in pairwise(samples):
        width = after.wavelength - before.wavelength
        seen = after.wavelength > 400 and before.wavelength < 700
        if width <= widest + _ROUNDED or (corners and not seen):
            continue
        between = any(before.wavelength < at < after.wavelength for at in lost)
        if between and width <= 2 * usual + _ROUNDED:
            continue  # one cell of it holds no number, which is told
        says = f"there is a gap of {width:.4g} nm, from {before.wavelength:g} to {after.wavelength:g} nm"
        yield Problem(where=after.where, says=says, allowed=f"samples at most {widest:g} nm apart")


def _is_corners(steps: _Array) -> bool:
    """Whether the samples are the corners of a drawn curve: steps of all sizes, none of them usual.

    Such lists (one of the TM-27-14 examples is one) leave out what a straight line says as well.
    """
    usual = np.median(steps)
    return bool(np.mean((steps > usual / 1.5) & (steps < usual * 1.5)) < 0.8)


def _bad_values(samples: Sequence[Sample], where: str) -> list[Problem]:
    top = max(s.value for s in samples)
    if not any(s.value for s in samples):
        return [Problem(where=where, says="the spectrum is zero everywhere", allowed="some light")]
    least = -_NOISE * top if top > 0 else 0.0
    problems = []
    for s in samples:
        if abs(s.value) > _LARGEST:
            says, allowed = (
                f"the value {s.value:g} at {s.wavelength:g} nm is too large",
                f"up to {_LARGEST:g}",
            )
        elif s.value < 0 and s.value <= least:
            says = f"the value at {s.wavelength:g} nm is negative, {s.value:g}"
            allowed = "0 or more. Noise below zero up to 0.5 % of the largest value"
        else:
            continue
        problems.append(Problem(where=s.where, says=says, allowed=allowed))
    if not problems and top < 1 / _LARGEST:
        problems.append(
            Problem(
                where=where, says=f"the largest value is {top:g}", allowed=f"some light: {1 / _LARGEST:g} up"
            )
        )
    return problems


def _even(wavelengths: _Array, values: _Array, notes: list[str], where: str) -> Spectrum:
    """Bring samples to even steps: as they are, at the step they share, or at whole nanometres."""
    steps = np.diff(wavelengths)
    start, step = float(wavelengths[0]), _tidy(float(np.mean(steps)), len(steps))
    if 1.0 <= step <= WIDEST_STEP:
        off = float(np.abs(wavelengths - start - step * np.arange(len(wavelengths))).max())
        if off <= _ROUNDED:
            if off > 1e-6:
                notes.append(
                    f"the wavelengths are taken as even steps of {step:.6g} nm (rounded by {off:.2g})"
                )
            if step > WIDEST_GAP:
                notes.append(f"steps of {step:g} nm: lines narrower than that are not seen")
            return _spectrum(start, step, values, where)
    at: _Array
    if np.median(steps) < 1.0:
        at = _whole(wavelengths)
        tenths = (np.arange(10) - 4.5) / 10
        notes.append(f"steps of {np.median(steps):.3g} nm are averaged to steps of 1 nm")
        means = np.interp(at[:, None] + tenths, wavelengths, values).mean(axis=1)
        return _spectrum(float(at[0]), 1.0, means, where)
    finest = float(steps.min())
    multiples = steps / finest
    if finest >= 1.0 and np.abs(multiples - np.round(multiples)).max() < 1e-6:
        at = start + finest * np.arange(round(float(multiples.sum())) + 1, dtype=np.float64)
        step = finest
    else:
        at, step = _whole(wavelengths), 1.0
    widest = int(np.argmax(steps))
    notes.append(
        f"the steps are uneven ({finest:.3g} to {steps[widest]:.3g} nm, the widest from "
        f"{wavelengths[widest]:g} nm): straight lines between the samples, in steps of {step:g} nm"
    )
    return _spectrum(float(at[0]), step, np.interp(at, wavelengths, values), where)


def _tidy(step: float, count: int) -> float:
    """Take off what floating point added to a step: 5.000000000001 is 5."""
    rounded = (round(step, digits) for digits in range(6))
    return next((r for r in rounded if abs(r - step) * count < 1e-6), step)


def _whole(wavelengths: _Array) -> _Array:
    return np.arange(np.ceil(wavelengths[0]), np.floor(wavelengths[-1]) + 1, dtype=np.float64)


def _spectrum(start: float, step: float, values: _Array, where: str) -> Spectrum:
    try:
        return Spectrum(start=start, step=step, values=values.tolist())
    except ValidationError as error:
        raise Refused([p.model_copy(update={"where": where}) for p in problems_in(error)]) from None
