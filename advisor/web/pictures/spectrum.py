"""A small plot of a spectrum, bare and gelled, as points for an SVG path."""

from dataclasses import dataclass

from ...advice.pictures.rendering import Rendered, curve

WIDTH, HEIGHT = 360, 120
_FROM, _TO = 380.0, 780.0


@dataclass(frozen=True)
class SpectrumPlot:
    """Two curves on one scale: `points` of SVG polylines, and the wavelengths marked below with their x."""

    bare: str
    gelled: str
    marks: tuple[tuple[int, float], ...]
    width: int = WIDTH
    height: int = HEIGHT


def spectrum_plot(bare: Rendered, gelled: Rendered) -> SpectrumPlot:
    """Plot a light bare and behind its stack, both against the bare one's peak."""
    highest = float(bare.spectrum.max())
    return SpectrumPlot(
        bare=_points(curve(bare.spectrum, highest)),
        gelled=_points(curve(gelled.spectrum, highest)),
        marks=tuple((nm, _x(nm)) for nm in range(400, 800, 100)),
    )


def _points(curve_points: list[tuple[float, float]]) -> str:
    return " ".join(f"{_x(nm):.1f},{HEIGHT * (1 - share):.1f}" for nm, share in curve_points)


def _x(nm: float) -> float:
    return WIDTH * (nm - _FROM) / (_TO - _FROM)
