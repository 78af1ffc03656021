"""The quantities that people type, each with its unit, its range and the words for what is wrong."""

import math
import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from typing import Annotated, Any, get_args

from pydantic_core import CoreSchema, core_schema

from . import numbers
from .problems import plain_first, short, wrong

MINUS = "\N{MINUS SIGN}"


def tidy(value: float, decimals: int | None = None) -> str:
    """Write a number for a person: a real minus, thin spaces between thousands, no trailing noise."""
    if decimals is not None:
        text = f"{value:,.{decimals}f}"
    else:
        text = f"{value:,.10g}" if abs(value) >= 1e-4 else f"{value:g}"
    if float(text.replace(",", "")) == 0:
        text = text.lstrip("-")
    return text.replace(",", "\N{NARROW NO-BREAK SPACE}").replace("-", MINUS)


def tidy_each(values: Iterable[float], decimals: int | None = None) -> list[str]:
    """Write several numbers, as `tidy` does."""
    return [tidy(value, decimals) for value in values]


@dataclass(frozen=True)
class Quantity:
    """A number in [low, high], given as a number or as text that a person typed.

    Stands inside ``Annotated[float, Quantity(...)]``, and serves by itself where text is read outside
    a model (`check`). `aliases` are units that may stand behind the number and change nothing, `thousands`
    units that stand for a thousand: “5.6 kK”. Where the unit itself is K, “5.6k” can mean only that, too.
    `hint` looks at a value that is out of range and says what it may be instead.
    """

    name: str
    unit: str
    low: float
    high: float
    aliases: tuple[str, ...] = ()
    thousands: tuple[str, ...] = ()
    whole: bool = False
    hint: Callable[[float], str] | None = None

    @property
    def allowed(self) -> str:
        """The range in words."""
        span = f"{tidy(self.low)} to {tidy(self.high)}" + (f" {self.unit}" if self.unit else "")
        return span + (", whole numbers" if self.whole else "")

    def check(self, value: object) -> float:
        """Return the number, or raise the pydantic error that says what is wrong with it."""
        number = self._number(value)
        if not self.low <= number <= self.high:
            hint = self.hint(number) if self.hint else ""
            raise wrong(f"{self.name} {_shown(value, number)} is out of range{hint}", self.allowed)
        if self.whole and number != int(number):
            raise wrong(f"{self.name} {_shown(value, number)} is not a whole number", self.allowed)
        return int(number) if self.whole else number

    def _number(self, value: object) -> float:
        if isinstance(value, bool) or not isinstance(value, int | float | str):
            says = f"{self.name} {short(value)} is not a number"
            raise wrong(says, f"{self.allowed}, a number or one as text")
        if isinstance(value, str):
            try:
                parsed = numbers.parse(value)
            except numbers.NotANumber as no:
                raise wrong(f"{self.name} {no.reason}", self.allowed) from None
            unit = re.sub(r"\s+", "", parsed.unit).casefold()
            if unit not in {u.casefold() for u in (self.unit, *self.aliases, *self.thousands, "")}:
                raise wrong(f"{self.name} {short(value)} has the unit {parsed.unit!r}", self.allowed)
            as_typed = parsed.within(self.low, self.high)
            if unit not in self.thousands or (unit == self.unit.casefold() and as_typed >= self.low):
                return as_typed
            by_thousand = replace(parsed, values=tuple(1000.0 * v for v in parsed.values))
            return by_thousand.within(self.low, self.high)
        try:
            number = float(value)
        except OverflowError:  # a whole number of hundreds of digits
            number = math.inf
        if not math.isfinite(number):
            raise wrong(f"{self.name} {short(value)} is not a number", self.allowed)
        return number

    def __get_pydantic_core_schema__(self, source: Any, handler: Any) -> CoreSchema:
        typed = core_schema.no_info_before_validator_function(self.check, handler(source))
        if self.whole:
            low, high = math.ceil(self.low), math.floor(self.high)
            return plain_first(core_schema.int_schema(ge=low, le=high, strict=True), typed)
        return plain_first(core_schema.float_schema(ge=self.low, le=self.high, strict=True), typed)

    def __get_pydantic_json_schema__(self, schema: CoreSchema, handler: Any) -> dict[str, Any]:
        described = self.name + (f" [{self.unit}]" if self.unit else "")
        kind = "integer" if self.whole else "number"
        described += ". One as text, such as 5,6e3, is understood too"
        return {"type": kind, "minimum": self.low, "maximum": self.high, "description": described}


def quantity_of(annotated: Any, name: str = "") -> Quantity:
    """Return the quantity that a field of a model is annotated with, by another `name` where one is given."""
    found = next(a for a in get_args(annotated) if isinstance(a, Quantity))
    return replace(found, name=name) if name else found


def _shown(value: object, number: float) -> str:
    return value.strip() if isinstance(value, str) and len(value) < 20 else tidy(number)


_USUAL_CCT = (2000.0, 10_000.0)
"""What lights on set mostly are: a figure that is a tenth of one lacks a digit. From memory. [K]"""


def _cct_hint(value: float) -> str:
    if 1.0 <= value <= 25.0:
        return f" ({tidy(value * 1000)} K?)"
    if 40.0 <= value < 1000.0:
        tenfold = f"{tidy(10 * value)} K, or " if _USUAL_CCT[0] <= 10 * value <= _USUAL_CCT[1] else ""
        return f" ({tenfold}{tidy(round(1e6 / value))} K from mired?)"
    return ""


def _duv_hint(value: float) -> str:
    if value == int(value) and (1 <= abs(value) <= 9 or 20 < abs(value) <= 50):
        return f" ({tidy(value / 10_000)} or {tidy(value / 1000)}?)"
    if 0.5 <= abs(value) < 1.0:  # thousandths, or noughts left out: a paste offers the second
        return f" ({tidy(value / 1000)} or {tidy(value / 100)}?)"
    return f" ({tidy(value / 1000)}?)" if 0.5 <= abs(value) <= 50.0 else ""


def _level_hint(value: float) -> str:
    if value == 0:
        return " (a head that is off has nothing to read)"
    return f" (as a share? then {tidy(value * 100)})" if 0 < value < 1 else ""


#: Correlated colour temperature. [K] The range in which (CCT, Duv) and (u, v) map onto each other.
CCT = Annotated[
    float, Quantity("CCT", "K", 1000, 25000, hint=_cct_hint, aliases=("kelvin", "°k"), thousands=("k", "kk"))
]
#: Signed distance from the Planckian locus in CIE 1960 (u, v), positive is green.
Duv = Annotated[float, Quantity("Duv", "", -0.05, 0.05, hint=_duv_hint)]
#: CIE 1931 chromaticity coordinates.
ChromaticityX = Annotated[float, Quantity("x", "", 0.0, 1.0)]
ChromaticityY = Annotated[float, Quantity("y", "", 0.0, 1.0)]
#: Illuminance. [lx]
Lux = Annotated[float, Quantity("Illuminance", "lx", 0.01, 1_000_000, aliases=("lux",))]
#: Nominal mired shift of a gel on its reference source; positive warms. [MK⁻¹]
GelMired = Annotated[float, Quantity("Mired shift", "mired", -500, 500, aliases=("MK⁻¹", "mireds"))]
#: Green–magenta shift of a gel; positive is green. [CC = 1000 × Duv, our definition]
GelCC = Annotated[float, Quantity("Green–magenta shift", "CC", -100, 100)]
#: Light lost. [stop]
GelStops = Annotated[float, Quantity("Light lost", "stops", 0, 10, aliases=("stop",))]
#: Sheets at hand.
Stock = Annotated[int, Quantity("Stock", "sheets", 0, 9999, whole=True, aliases=("sheet",))]
#: How far from the target still counts as matched. [step = 0.0011 Δu′v′; CIE TN 001:2014, from memory]
ToleranceSteps = Annotated[float, Quantity("Tolerance", "steps", 0.1, 50, aliases=("step",))]
#: Most gels in one stack.
MaxLayers = Annotated[int, Quantity("Layers", "layers", 0, 4, whole=True, aliases=("layer",))]
#: Most light a stack may cost. [stop]
MaxStops = Annotated[float, Quantity("Light lost", "stops", 0, 10, aliases=("stop",))]
#: How far a meter's CCT may be off. [%]
MeterPercent = Annotated[float, Quantity("Meter's CCT tolerance", "%", 0, 20)]
#: How far a meter's Duv may be off.
MeterDuv = Annotated[float, Quantity("Meter's Duv tolerance", "", 0, 0.02)]
#: How far a gel's shift may be from its label. [%]
GelPercent = Annotated[float, Quantity("Gels' tolerance", "%", 0, 50)]
#: The same of one row of the table. [% of its shift]
RowPercent = Annotated[float, Quantity("How far it may be off", "%", 0, 100, aliases=("percent",))]
#: Temperature of the Planckian radiator on which a gel's shift holds. [K]
GelReference = Annotated[
    float,
    Quantity("Reference", "K", 1000, 25000, hint=_cct_hint, aliases=("kelvin", "°k"), thousands=("k", "kk")),
]
#: Colour rendering figures that meters print. CIE 13.3, ANSI/IES TM-30, SMPTE ST 2122.
Ra = Annotated[float, Quantity("Ra", "", -100, 100)]
R9 = Annotated[float, Quantity("R9", "", -300, 100)]
Rf = Annotated[float, Quantity("Rf", "", 0, 100)]
Rg = Annotated[float, Quantity("Rg", "", 40, 160)]
SSI = Annotated[float, Quantity("SSI", "", -100, 100)]
#: How much warmer than the target a source is wanted. [MK⁻¹]
WantedMired = Annotated[float, Quantity("Warmer", "mired", -300, 300, aliases=("MK⁻¹", "mireds"))]
#: Where a dimmer stands. [%]
DimLevel = Annotated[float, Quantity("Dim level", "%", 1, 100, aliases=("percent",), hint=_level_hint)]
#: A head's own number for its CCT. [K on its dial, which need not be what a meter reads]
DialCCT = Annotated[
    float, Quantity("CCT on the dial", "K", 500, 50_000, aliases=("kelvin", "°k"), thousands=("k", "kk"))
]
#: A head's own number for green (which way and in which unit is the head's own).
DialGreen = Annotated[float, Quantity("Green on the dial", "", -1000, 1000)]
#: The least step of a head's CCT. [K on its dial]
DialCCTStep = Annotated[float, Quantity("Step of CCT", "K", 1, 5000, aliases=("kelvin", "°k"))]
#: The least step of a head's green.
DialGreenStep = Annotated[float, Quantity("Step of green", "", 0.001, 1000)]
#: Green–magenta value that a camera's white balance takes out; positive takes out green. [CC as of a gel]
Tint = Annotated[float, Quantity("Tint", "CC", -50, 50)]
#: How many stops a source may stand over the key; below zero, under it. [stop]
OverKey = Annotated[float, Quantity("Stops over the key", "stops", -10, 10, aliases=("stop",))]
#: Electrical power of a head. [W]
Watts = Annotated[float, Quantity("Power", "W", 0.1, 100_000, aliases=("watt", "watts"))]
#: Width or height of an opening that gel has to cover. [m]
Side = Annotated[float, Quantity("Side of an opening", "m", 0.01, 50, aliases=("metre", "metres"))]
#: How many openings of one size.
Count = Annotated[int, Quantity("Count", "", 1, 500, whole=True)]
#: The number of a head in its set, as on its tag.
HeadNumber = Annotated[int, Quantity("Number", "", 1, 99_999, whole=True)]
#: What is cut beyond what is needed. [%]
SparePercent = Annotated[float, Quantity("Spare", "%", 0, 100)]
#: Film or sensor speed. ISO 5800, ISO 12232.
Iso = Annotated[float, Quantity("ISO", "", 1, 1_000_000)]
#: F-number, as a lens is marked. ISO 517.
FNumber = Annotated[float, Quantity("f-number", "", 0.5, 128)]
#: Key to fill, (key + fill) : fill: 4 is 4:1.
LitRatio = Annotated[float, Quantity("Key to fill", "", 1.05, 128)]
#: The same in stops, the lit side over the fill side. [stop]
LitStops = Annotated[float, Quantity("Key to fill", "stops", 0.1, 7, aliases=("stop",))]
#: How much brighter a source is to be than it is now; below zero, darker. [stop]
ThanNow = Annotated[float, Quantity("Brighter than now", "stops", -7, 7, aliases=("stop",))]
#: Frame rate. [1/s]
FrameRate = Annotated[float, Quantity("Frame rate", "fps", 0.01, 10_000, aliases=("frames/s",))]
#: Shutter angle. [°]
ShutterAngle = Annotated[float, Quantity("Shutter angle", "°", 0.1, 360, aliases=("deg", "degrees"))]
#: Exposure time. [s]
ShutterTime = Annotated[float, Quantity("Exposure time", "s", 0.0001, 3600)]
#: Incident-light calibration constant. ISO 2720:1974. [lx·s]
MeterConstant = Annotated[float, Quantity("C", "lx·s", 100, 600)]
#: Width of a sheet or a roll of gel. [m]
FormatWidth = Annotated[float, Quantity("Width", "m", 0.1, 10, aliases=("metre", "metres"))]
#: Length of a sheet or a whole roll of gel. [m]
FormatLength = Annotated[float, Quantity("Length", "m", 0.1, 100, aliases=("metre", "metres"))]
#: From a head to the meter, in its test. [m]
TestDistance = Annotated[float, Quantity("Distance", "m", 0.1, 100, aliases=("metre", "metres"))]
#: How long a head had been on when it was tested. [min]
MinutesOn = Annotated[float, Quantity("Minutes on", "min", 0, 1440, aliases=("minutes", "minute"))]
