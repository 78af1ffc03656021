"""Which lamp to ask for, in words that a rental desk or a hardware shop understands."""

from ....advice.plan.another_lamp import OtherLamp, PoorGel
from ....advice.plan.lamps_behind import LampWindow
from ....advice.wording.words import in_ten
from ....model import Kind, Role, Seen, Source
from ....model.basis.quantities import tidy
from ....model.sets.phrases import counted, signed
from ...wording.values import gel, kelvin, stops

COLOUR = "Ra 90 or more, R9 50 or more."
"""What else to ask for. Common practice, no source."""

_SOME = 0.1
"""If gel brings a source close less often, nobody is told a chance."""


def why_said(found: OtherLamp) -> str:
    """Say what gel does instead: “Gel takes 2.3 stops.”, “Gel leaves it a bit off.”"""
    if found.why is PoorGel.OFF:
        if found.within >= _SOME:
            return f"Gel brings it close {in_ten(found.within)} at best."
        return "Gel leaves it a bit off." if found.seen is Seen.SHOWS else "Gel can’t fix it."
    if found.why is PoorGel.DOUBT:
        return f"Gel seldom brings it close: {in_ten(found.within)}."
    if found.why is PoorGel.LAYERS:
        return f"Gel takes {counted(found.layers, 'layer')} and {stops(found.stops)}."
    return f"Gel takes {stops(found.stops)}."


def ask_said(window: LampWindow, source: Source, *, tube: bool) -> str:
    """Say which lamp to ask for, first what is on its box: “Ask for a bulb of 4 000 K. It fits if it reads …”

    One that needs a sheet says which: “Behind ⅛ CTB: ask for a bulb of …”
    """
    bulb = source.role is Role.PRACTICAL and source.kind is not Kind.UNKNOWN
    noun = "tube" if tube else "bulb" if bulb else "lamp"
    ask = f"{f'Behind {gel(window.gel)}: ask' if window.gel else 'Ask'} for a {noun}"
    if not window.sold:
        return f"{ask} that reads {_reads(window)}."
    return f"{ask} of {_sold(window)}. It fits if it reads {_reads(window)}."


def behind_said(window: LampWindow) -> str:
    """Say which lamp comes in behind one sheet: “⅛ CTO: 4 500 K, if it reads 4 520 to 4 890 K, Duv …”."""
    reads = f"if it reads {_reads(window)}"
    return f"{gel(window.gel)}: {f'{_sold(window)}, ' if window.sold else ''}{reads}"


def _reads(window: LampWindow) -> str:
    low, high = window.cct
    duv = " to ".join(signed(value, 4) for value in window.duv)
    return f"{tidy(low, 0)} to {kelvin(high)}, Duv {duv}"


def _sold(window: LampWindow) -> str:
    return " or ".join(kelvin(named) for named in window.sold)
