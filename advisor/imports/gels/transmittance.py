"""A measured transmittance, pasted or uploaded: wavelengths with shares or percents of light let through.

Spectrophotometers also print optical density, D = −log10 T (absorbance): headed so, or not at all.
"""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum

from pydantic import ValidationError

from ...model import Refused, Spectrum, Transmittance, refuse
from ..spectra.cells import says_wavelength
from ..spectra.read import read_spectra
from ..spectra.sample import HELD, NO_NUMBER, Sample
from ..spectra.samples import MOST, to_spectrum
from ..text.decode import characters

_PERCENT_FROM = 1.5
"""A value above this can only be in percent."""
_PERCENT = re.compile(r"%|\bper ?cent\b", re.IGNORECASE)
_DENSITY = re.compile(
    r"\babsorbance\b|\b(?<!power )(?<!flux )densit(?:y|ies|é|és|à|e)\b|(?<![a-z0-9])o\.?d\.?(?![a-z0-9])|"
    r"\b(?:dichten?|densidad(?:es)?|densidades?|dichtheid|gęstość|densitet)\b|濃度",
    re.IGNORECASE,
)
"""Words over a column of densities."""
_LETTER = re.compile(r"[(\[]\s*D\s*[)\]]")
_PAIR = re.compile(r"(\d+(?:\.\d+)?)[,;\t](\d*\.?\d+(?:[eE][-+]?\d{1,3})?)")
_REACH = 20.0
"""How much of 400 to 700 nm may lack at an end of a curve: little is seen there. [nm]"""
_DENSEST = 10.0
"""Above this, values are no densities: no light is left that anything could measure."""


class CurveAs(StrEnum):
    """What to make of a curve: its values as they are, as densities, or nothing, for the row's label."""

    TRANSMITTANCE = "transmittance"
    DENSITY = "density"
    LABEL = "label"


@dataclass(frozen=True)
class MeasuredCurve:
    """What a text with one curve may mean: `ways` to a transmittance, as shares of 0 to 1.

    `density` says that the text heads its values so; `lowest` and `highest` are as they stand in it. `notes`
    tell which of its cells hold no number, and which ends are held.
    """

    ways: Mapping[CurveAs, Transmittance]
    density: bool
    lowest: float
    highest: float
    notes: tuple[str, ...] = ()

    @property
    def first(self) -> Transmittance:
        """The plainest way: the values as they are, where they can be shares or percents."""
        return next(iter(self.ways.values()))


def headed(curve: MeasuredCurve) -> str:
    """Say that values are headed as densities."""
    return f"the values, {curve.lowest:.3g} to {curve.highest:.3g}, are headed as density"


def read_curve(data: str | bytes) -> MeasuredCurve:
    """Read a text that holds one curve, and say what its values may be.

    They are percents where the text says so (a sign or a word), or where one is above 1.5. Raises Refused for
    text that is no spectrum, that holds several, or values that can be nothing of it.
    """
    text = characters(data, where="text")
    said = density = False
    if not text.lstrip().startswith("<"):
        above = _words_of(text)
        density = bool(_DENSITY.search(above) or _LETTER.search(above))
        text, said = _PERCENT.sub("", text), bool(_PERCENT.search(text))
    curve, notes = _plain(text) or _spectrum(text)
    lowest, highest = min(curve.values), max(curve.values)
    percent = said or highest > _PERCENT_FROM
    most = 100.0 if percent else 1.0
    dense = not said and highest <= _DENSEST
    if highest > most and not (density and dense):
        at = curve.start + curve.step * curve.values.index(highest)
        says = f"the transmittance at {at:g} nm is {highest:g}{' %' if percent else ''}"
        raise Refused.one("", says, "0 to 1 at every wavelength, or 0 to 100 %")
    ways = {}
    if highest <= most:
        ways[CurveAs.TRANSMITTANCE] = _curve(curve.start, curve.step, [v / most for v in curve.values])
    if dense:
        ways[CurveAs.DENSITY] = _curve(curve.start, curve.step, [10.0**-v for v in curve.values])
    return MeasuredCurve(ways, density, lowest, highest, notes)


def _plain(text: str) -> tuple[Spectrum, tuple[str, ...]] | None:
    """Read the plainest text at once, as `write_curves` writes it; None of any other, which takes longer."""
    lines = text.strip().split("\n")
    rows = [_PAIR.fullmatch(line) for line in lines[1:]]
    if not says_wavelength(lines[0]) or not rows or len(rows) > MOST:
        return None
    samples = [Sample(float(r[1]), float(r[2]), f"line {i}") for i, r in enumerate(rows, 2) if r is not None]
    if len(samples) < len(rows):
        return None
    curve, notes = to_spectrum(samples, where="line 2", reach=_REACH)
    return curve, _told(notes)


def _told(notes: Sequence[str]) -> tuple[str, ...]:
    return tuple(note for note in notes if note.startswith((NO_NUMBER, HELD)))


def _spectrum(text: str) -> tuple[Spectrum, tuple[str, ...]]:
    found = read_spectra(text, reach=_REACH)
    if len(found) != 1:
        says = f"the text holds {len(found)} curves"
        raise Refused.one("", says, "one: wavelengths, and one column of values")
    return found[0].spectrum, _told(found[0].notes)


def _words_of(text: str) -> str:
    """Return what stands above the first row of figures."""
    lines = text.split("\n")
    first = next((i for i, line in enumerate(lines) if re.match(r'\s*"?\d', line)), len(lines))
    return "\n".join(lines[:first])


def _curve(start: float, step: float, values: list[float]) -> Transmittance:
    try:
        return Transmittance(start=start, step=step, values=values)
    except ValidationError as error:
        raise refuse(error) from None
