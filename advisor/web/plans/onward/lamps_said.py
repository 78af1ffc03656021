"""Which lamp to ask for, in words that a rental desk or a hardware shop understands."""

from ....advice.plan.another_lamp import LampWindow, OtherLamp, PoorGel
from ....advice.wording.words import in_ten
from ....model import Role, Source
from ....model.basis.quantities import tidy
from ....model.sets.phrases import counted, signed
from ...wording.values import gel, kelvin, stops

COLOUR = "Ra 90 or more, R9 50 or more."
"""What else to ask for. Common practice, no source."""


def why_said(found: OtherLamp) -> str:
    """Say what gel does instead: “Gel takes 2.3 stops.”"""
    if found.why is PoorGel.OFF:
        return "Gel can’t fix it."
    if found.why is PoorGel.DOUBT:
        return f"Gel seldom brings it close: {in_ten(found.within)}."
    if found.why is PoorGel.LAYERS:
        return f"Gel takes {counted(found.layers, 'layer')} and {stops(found.stops)}."
    return f"Gel takes {stops(found.stops)}."


def ask_said(window: LampWindow, source: Source, *, tube: bool) -> str:
    """Say which lamp to ask for: “Ask for a bulb of 4 010 to 4 240 K, Duv −0.0012 to +0.0015.”

    One that needs a sheet says which: “Behind ⅛ CTB: ask for a bulb of …”
    """
    noun = "tube" if tube else "bulb" if source.role is Role.PRACTICAL else "lamp"
    sold = f" Sold as {_sold(window)}." if window.sold else ""
    ask = f"Behind {gel(window.gel)}: ask" if window.gel else "Ask"
    return f"{ask} for a {noun} of {_reads(window)}.{sold}"


def behind_said(window: LampWindow) -> str:
    """Say which lamp comes in behind one sheet: “⅛ CTO: 4 520 to 4 890 K, Duv …, sold as 4 500 K”."""
    sold = f", sold as {_sold(window)}" if window.sold else ""
    return f"{gel(window.gel)}: {_reads(window)}{sold}"


def _reads(window: LampWindow) -> str:
    low, high = window.cct
    duv = " to ".join(signed(value, 4) for value in window.duv)
    return f"{tidy(low, 0)} to {kelvin(high)}, Duv {duv}"


def _sold(window: LampWindow) -> str:
    return " or ".join(kelvin(named) for named in window.sold)
