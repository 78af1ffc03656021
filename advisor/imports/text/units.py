"""What the numbers of each field are: the quantity with its range, its units, words for numbers."""

from ...model.basis import quantities
from ...model.basis.quantities import Quantity, quantity_of
from ...model.basis.units import FOOT_CANDLE
from ..vocabulary.headings import Field

_CHROMATICITY = {f: Quantity(f.value, "", 0.0, 1.0) for f in (Field.U76, Field.V76, Field.U60, Field.V60)}
#: The widest range in which mired and CC are a white's. [MK⁻¹; CC = 1000 × Duv, our definition]
_DERIVED = {Field.MIRED: Quantity("Mired", "MK⁻¹", 40, 1000), Field.CC: Quantity("CC", "CC", -50, 50)}
TRISTIMULUS = {f: Quantity(f.value, "", 0.0, 1e6) for f in (Field.BIG_X, Field.BIG_Y, Field.BIG_Z)}
_KELVIN = {"k": 1.0, "kelvin": 1.0, "kelvins": 1.0, "°k": 1.0, "kk": 1000.0}
_LUX = {"lx": 1.0, "lux": 1.0, "klx": 1000.0, "klux": 1000.0, "lm/m²": 1.0, "lm/ft²": FOOT_CANDLE}
_FOOTCANDLE = dict.fromkeys(("fc", "ftc", "ft-c", "foot-candle", "foot-candles", "footcandles"), FOOT_CANDLE)


QUANTITIES: dict[Field, Quantity] = {
    Field.CCT: quantity_of(quantities.CCT),
    Field.DUV: quantity_of(quantities.Duv),
    Field.X: quantity_of(quantities.ChromaticityX),
    Field.Y: quantity_of(quantities.ChromaticityY),
    Field.LUX: quantity_of(quantities.Lux),
    Field.RA: quantity_of(quantities.Ra),
    Field.R9: quantity_of(quantities.R9),
    Field.RF: quantity_of(quantities.Rf),
    Field.RG: quantity_of(quantities.Rg),
    Field.SSI: quantity_of(quantities.SSI),
    Field.LEVEL: quantity_of(quantities.DimLevel),
    Field.STOPS_DOWN: Quantity("Stops below full", "stops", -10, 10),
    Field.DIAL_CCT: quantity_of(quantities.DialCCT),
    Field.DIAL_GREEN: quantity_of(quantities.DialGreen),
    Field.POWER: quantity_of(quantities.Watts),
    **_CHROMATICITY,
    **TRISTIMULUS,
    **_DERIVED,
}
UNITS: dict[Field, dict[str, float]] = {
    Field.CCT: _KELVIN,
    Field.LUX: _LUX | _FOOTCANDLE,
    Field.LEVEL: {"%": 1.0, "percent": 1.0},
    Field.STOPS_DOWN: dict.fromkeys(("stop", "stops", "f"), 1.0),
    Field.DIAL_CCT: _KELVIN,
    Field.POWER: {"w": 1.0, "watt": 1.0, "watts": 1.0, "kw": 1000.0},
    Field.MIRED: dict.fromkeys(("mired", "mireds", "mk-1", "mk⁻¹", "1/mk"), 1.0),
    Field.CC: {"cc": 1.0, "ccs": 1.0},
    Field.DUV: {"‰": 1e-3, "e-3": 1e-3},
}

#: Words that stand for numbers: no green and no magenta; a dim level.
_CLEAN = ("neutral", "zero", "nil", "null", "clean", "neutre", "neutro", "neutraal", "neutralny")
SAID = {
    **{(field, word): 0.0 for field in (Field.CC, Field.DUV) for word in _CLEAN},
    **{(Field.LEVEL, word): 100.0 for word in ("full", "at full", "max", "voll", "plein", "100")},
    **{(Field.LEVEL, word): 50.0 for word in ("half", "½", "1/2", "halb", "moitié", "mitad", "metà")},
    **{(Field.LEVEL, word): 25.0 for word in ("quarter", "a quarter", "¼", "1/4", "viertel")},
    **{(Field.LEVEL, word): 75.0 for word in ("three quarters", "three quarter", "¾", "3/4")},
}

#: The side of a green or magenta that is written behind its size: "9G", "2 M".
SHADES = {"g": 1.0, "green": 1.0, "m": -1.0, "magenta": -1.0}
AGAINST = {shade: ("-", "−") if way > 0 else ("+",) for shade, way in SHADES.items()}
"""The signs that contradict such a side: a number with both says two things."""
