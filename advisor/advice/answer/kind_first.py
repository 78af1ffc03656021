"""What has to be asked before an answer is worth giving: street lamps and warm bulbs read alike.

Gel makes daylight of a bulb and nothing of sodium, of which the light is all but one line.
"""

from ...model import Kind, KindQuestion, Source
from ..readings.chromaticity import WhitePoint

_WARM, _NEAR = 2200.0, 0.010
"""Below the first [K], and no further off the Planckian locus than the second [Duv], sodium lamps and warm
bulbs read alike (CIE 15:2018, HP1; a dimmed or a decorative bulb: common practice, no source)."""


def asked_first(source: Source, white: WhitePoint) -> KindQuestion | None:
    """Return what has to be answered before any gel is worth naming; None where nothing has.

    Where a meter printed how it renders colours, or its spectrum, that says what the lamp is.
    """
    reading = source.reading
    told = (reading.spectrum, reading.ra, reading.r9, reading.rf, reading.ssi)
    if source.kind is not Kind.UNKNOWN or any(figure is not None for figure in told):
        return None
    if white.cct >= _WARM or abs(white.duv) > _NEAR:
        return None
    return KindQuestion(
        words="Sodium street light, or a warm bulb?", kinds=[Kind.SODIUM, Kind.TUNGSTEN, Kind.LED_WHITE]
    )
