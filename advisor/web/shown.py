"""How numbers and names are written for a person: with units, real minus signs, the trade's fractions."""

import re
from collections.abc import Sequence

from flask import Flask

from ..advice.words import CTO_FRACTIONS, GREEN_FRACTIONS, beside
from ..model import Aim, Kind, Locus, StackAdvice, Target
from ..model.quantities import tidy
from .preferences import FOOT_CANDLE, preferences

_FRACTIONS = {"1/8": "⅛", "1/4": "¼", "1/2": "½", "3/4": "¾", "1/3": "⅓", "2/3": "⅔", "3/8": "⅜", "5/8": "⅝"}


def gel(name: str) -> str:
    """Write a gel as a crew says it: ``CTO 1/4`` is “¼ CTO”, ``ND 0.3`` stays."""
    family, _, fraction = name.rpartition(" ")
    if re.match(r"[A-Z][a-z]", family):
        family = family[0].lower() + family[1:]
    if fraction == "full":
        return f"full {family}"
    if "/" in fraction:
        return f"{_FRACTIONS.get(fraction, fraction)} {family}"
    return f"{family} {fraction}"


def hang(stack: StackAdvice) -> str:
    """Say what to do, in one sentence."""
    if not stack.gels:
        return "Leave it bare"
    names = [gel(name) for name in stack.gels]
    return "Hang " + (", ".join(names[:-1]) + " and " + names[-1] if len(names) > 1 else names[0])


def kelvin(value: float | None) -> str:
    """Write a CCT, to the kelvin."""
    return "no CCT" if value is None else f"{tidy(value, 0)} K"


def duv(value: float | None) -> str:
    """Write a Duv with its sign, to the fourth place, as meters show it."""
    if value is None:
        return "no Duv"
    text = tidy(value, 4)
    return text if value <= 0 or float(f"{value:.4f}") == 0 else "+" + text


def steps(value: float) -> str:
    """Write a distance in steps."""
    return _counted(value, "step")


def left(stack: StackAdvice) -> str:
    """Write what a stack leaves, with how far that may be off."""
    return f"{tidy(stack.miss.steps, 1)} ± {tidy(stack.uncertainty_steps, 1)} steps left"


def tolerance(value: float) -> str:
    """Write a tolerance, which a person typed: “3 steps”."""
    return f"{tidy(value)} step{'' if value == 1 else 's'}"


def stops(value: float) -> str:
    """Write a loss in stops."""
    return _counted(value, "stop")


def mired(value: float) -> str:
    """Write a mired shift with its sign."""
    return f"{'+' if round(value) > 0 else ''}{tidy(value, 0)} MK⁻¹"


def cc(value: float) -> str:
    """Write a green–magenta shift with its sign."""
    return f"{'+' if round(value, 1) > 0 else ''}{tidy(value, 1)} CC"


def lux(value: float | None) -> str:
    """Write an illuminance to three figures, in the unit that the phone chose."""
    if value is None:
        return ""
    unit = preferences().light
    shown = value / FOOT_CANDLE if unit == "fc" else value
    return f"{tidy(float(f'{shown:.3g}'))} {unit}"


def plain(value: float | int | None) -> str:
    """Write a value as it goes back into a field: a point, an ASCII minus, nothing between thousands."""
    return "" if value is None else f"{value:.10g}"


def white(target: Target) -> str:
    """Name a target."""
    offset = f", Duv {duv(target.duv_offset)} off it" if target.duv_offset else ""
    if target.source is not None:
        return f"the white of {target.source}{offset}"
    locus = "daylight" if target.locus is Locus.DAYLIGHT else "Planckian"
    return f"{kelvin(target.cct)} {locus}{offset}"


def gauge(value: float) -> str:
    """Draw how plainly a distance in steps is seen: a circle that fills."""
    return next((shape for limit, shape in ((1.0, "○"), (3.0, "◔"), (5.0, "◑")) if value <= limit), "●")


def wanted(aim: Aim) -> str:
    """Say what is wanted of a source: “about a half CTO warmer”."""
    return beside(aim.mired, aim.duv)


def figure(value: float, name: str) -> str:
    """Write a figure that a meter prints, by its name."""
    if name == "CCT":
        return kelvin(value)
    return duv(value) if name == "Duv" else tidy(value, 0)


def capitalize_first(text: str) -> str:
    """Begin a sentence, leaving the rest as it is."""
    return text[:1].upper() + text[1:]


def _counted(value: float, unit: str) -> str:
    number = tidy(value, 1)
    return f"{number} {unit}{'' if value < 1.05 else 's'}"


def register(app: Flask) -> None:
    """Give the templates these words."""
    for name in (
        gel,
        hang,
        kelvin,
        duv,
        steps,
        left,
        tolerance,
        stops,
        mired,
        cc,
        lux,
        plain,
        white,
        gauge,
        wanted,
        figure,
        capitalize_first,
    ):
        app.jinja_env.filters[name.__name__] = name
    app.context_processor(lambda: {"prefer": preferences()})
    app.jinja_env.globals.update(
        KINDS=list(Kind),
        WARMER=_choices(CTO_FRACTIONS, "CTO warmer", "CTB cooler"),
        GREENER=_choices(GREEN_FRACTIONS, "greener", "more magenta"),
    )


def _choices(fractions: Sequence[float], more: str, less: str) -> list[tuple[str, str]]:
    """Offer the fractions of a gel both ways, each with its value for the form."""
    names = ("an eighth", "a quarter", "a half", "three quarters", "a full")
    ways = [(f"{name} {more}", plain(round(v, 4))) for name, v in zip(names, fractions, strict=True)]
    back = [(f"{name} {less}", plain(-round(v, 4))) for name, v in zip(names, fractions, strict=True)]
    return [("as the target", "0"), *ways, *back]
