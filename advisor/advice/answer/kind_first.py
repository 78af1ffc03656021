"""What has to be asked before an answer is worth giving: street lamps and warm bulbs read alike.

Gel can turn a bulb into daylight, but not sodium: its light is almost a single line.
"""

from collections.abc import Sequence

from ...model import Kind, KindQuestion, Source
from ..readings.chromaticity import WhitePoint
from ..readings.shape import shape_of
from ..stacks.prediction import PreparedSource

_WARM, _NEAR = 2200.0, 0.010
"""Below the first [K], and no further off the Planckian locus than the second [Duv], sodium lamps and warm
bulbs read alike (CIE 15:2018, HP1; a dimmed or a decorative bulb: common practice, no source)."""


def asked_first_each(bares: Sequence[PreparedSource]) -> list[KindQuestion | None]:
    """Return what `asked_first` does of each source, in its place."""
    return [asked_first(bare.source, bare.white) for bare in bares]


def asked_first(source: Source, white: WhitePoint) -> KindQuestion | None:
    """Return the question that has to be answered before naming any gel; None if there is none.

    If the meter printed figures of colour rendering, or a spectrum, these say what the lamp is.
    """
    reading = source.reading
    figures = (shape_of(source), reading.ra, reading.r9, reading.rf, reading.ssi)
    if source.kind is not Kind.UNKNOWN or any(figure is not None for figure in figures):
        return None
    if white.cct >= _WARM or abs(white.duv) > _NEAR:
        return None
    return KindQuestion(
        words="Sodium street light, or a warm bulb?", kinds=[Kind.SODIUM, Kind.TUNGSTEN, Kind.LED_WHITE]
    )
