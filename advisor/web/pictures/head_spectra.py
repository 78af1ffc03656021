"""The spectra of a tested head over each other as SVG, each against its own peak."""

from collections.abc import Mapping
from dataclasses import dataclass

from ...model import Spectrum

WIDTH, HEIGHT = 358.0, 110.0
"""Of the picture. [px; as wide as a phone's screen]"""
_FROM, _TO = 380.0, 780.0


@dataclass(frozen=True)
class HeadSpectra:
    """Lines by how the head was set up, numbered as those of its drift, and wavelengths [nm] with their x."""

    lines: tuple[tuple[int, str], ...]
    names: tuple[tuple[int, str], ...]
    marks: tuple[tuple[int, float], ...]
    width: float = WIDTH
    height: float = HEIGHT


def head_spectra(spectra: Mapping[str, Spectrum], order: list[str]) -> HeadSpectra | None:
    """Lay out spectra by what they are called; `order` numbers the lines. None where there are none."""
    if not spectra:
        return None
    lines = tuple((order.index(name), _points(spectrum)) for name, spectrum in spectra.items())
    names = tuple((order.index(name), name) for name in spectra)
    return HeadSpectra(lines, names, tuple((nm, _x(nm)) for nm in range(400, 800, 100)))


def _points(spectrum: Spectrum) -> str:
    highest = max(spectrum.values)
    places = (
        (_x(nm), (HEIGHT - 2.0) * (1 - value / highest))
        for k, value in enumerate(spectrum.values)
        if _FROM <= (nm := spectrum.start + k * spectrum.step) <= _TO
    )
    return " ".join(f"{x:.1f},{y:.1f}" for x, y in places)


def _x(nm: float) -> float:
    return round(WIDTH * (nm - _FROM) / (_TO - _FROM), 1)
