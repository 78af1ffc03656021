"""How numbers and names are written for a person: with units, real minus signs, the trade's fractions."""

import re
from collections.abc import Sequence
from datetime import datetime

from flask import Flask

from ..advice.confirm import Swap
from ..advice.cutting import Amount
from ..advice.plan import Head
from ..advice.words import CTO_FRACTIONS, GREEN_FRACTIONS, beside
from ..model import Aim, Kind, Locus, Reading, Role, Setting, Source, StackAdvice, Stage, Target
from ..model.formats import Form
from ..model.quantities import tidy
from .preferences import FOOT, FOOT_CANDLE, INCH, preferences

_ROLES = {
    Role.KEY: "Key",
    Role.FILL: "Fill",
    Role.BACK: "Back light",
    Role.PRACTICAL: "Practical, in shot",
    Role.OTHER: "Something else",
}
_STAGES = {Stage.PLANNED: "planned", Stage.HUNG: "hung", Stage.CONFIRMED: "confirmed"}
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
    gels = listed([gel(name) for name in stack.gels])
    if stack.dial:
        return f"Set {dial(stack.dial)}" + (f" and hang {gels}" if gels else "")
    return f"Hang {gels}" if gels else "Leave it bare"


def listed(names: Sequence[str]) -> str:
    """Join names as a sentence does: “a, b and c”."""
    return ", ".join(names[:-1]) + " and " + names[-1] if len(names) > 1 else "".join(names)


def dial(setting: Setting) -> str:
    """Write a setting of a head's dials in its own numbers."""
    green = f", green {signed(setting.green)}" if setting.green else ""
    return f"{tidy(setting.cct)} K{green}"


def swap(change: Swap) -> str:
    """Say what to do to what hangs."""
    off, on = (listed([gel(name) for name in names]) for names in (change.off, change.on))
    if off and on:
        return f"Take off {off}, hang {on}"
    return f"Take off {off}" if off else f"Add {on}" if on else "Nothing that is here brings it nearer"


def when(at: str) -> str:
    """Write a time of the store for a person, with its zone: “05:41 UTC, 25 Nov”."""
    time = datetime.fromisoformat(at)
    return f"{time:%H:%M} UTC, {time.day} {time:%b}"


def doing(head: Head) -> str:
    """Say what to do about a head, or what was done, in one sentence."""
    best = head.best
    if best is None:
        return ""
    if head.stage is None or head.chosen is None:
        return hang(best)
    said = hang(best)
    if head.stage is Stage.PLANNED:
        return f"Planned: {said[0].lower()}{said[1:]}"
    if head.check and not head.check.within and head.stage is not Stage.CONFIRMED:
        return swap(head.check.swap) if head.check.swap else "Not as foretold"
    stands = [dial(best.dial)] if best.dial else []
    stands += [listed([gel(name) for name in best.gels])] if best.gels else []
    return f"{capitalize_first(_STAGES[head.stage])}: {', '.join(stands) or 'bare'}"


def progress(heads: Sequence[Head]) -> str:
    """Say how far a set has come: “6 sources: 3 to gel, 1 to set, 2 confirmed”."""
    todo = [head for head in heads if head.best and not head.hangs]
    gelled = [head for head in todo if head.best and head.best.gels]
    dialled = [head for head in todo if head.best and head.best.dial and not head.best.gels]
    hanging = [head for head in heads if head.hangs and head.stage is Stage.HUNG]
    off = [head for head in hanging if head.check and not head.check.within]
    hung = [head for head in hanging if head not in off]
    confirmed = [head for head in heads if head.hangs and head.stage is Stage.CONFIRMED]
    counted = (
        (len(off), "not as foretold"),
        (len(gelled), "to gel"),
        (len(dialled), "to set"),
        (len(todo) - len(gelled) - len(dialled), "to leave bare"),
        (len(hung), "hung, to confirm"),
        (len(confirmed), "confirmed"),
        (sum(head.best is None for head in heads), "without advice"),
    )
    said = ", ".join(f"{number} {words}" for number, words in counted if number)
    return f"{len(heads)} source{'' if len(heads) == 1 else 's'}: {said}."


def worked(source: Source) -> str:
    """Say how the work on a source stands: “hung: ¼ CTO”."""
    work = source.work
    if work is None:
        return "nothing decided"
    stands = [f"dials at {dial(work.dial)}"] if work.dial else []
    stands += [listed([gel(name) for name in work.gels])] if work.gels else []
    return f"{_STAGES[work.stage]}: {', '.join(stands) or 'bare'}"


def used(source: Source) -> str:
    """Say at which level and with which modifier a source is used."""
    level = "as read last" if source.level is None else f"at {percent(source.level)}"
    if source.modifier is None:
        return level
    return f"{level}, {source.modifier or 'no modifier'}"


def aimed(aim: Aim) -> str:
    """Say what is wanted of a source, in full: “about a half CTO warmer than the target”."""
    if aim.leave:
        return "left as it is"
    return "corrected" if aim.plain else f"{wanted(aim)} than the target"


def decided(stack: StackAdvice) -> str:
    """Write a stack as a form sends it back when it is decided for."""
    return stack.model_dump_json(include={"gels", "dial"})


def signed(value: float) -> str:
    """Write a number with its sign."""
    return f"{'+' if value > 0 else ''}{tidy(value)}"


def stood(reading: Reading) -> str:
    """Say how a source stood when it was read; empty where nothing was noted."""
    said = [percent(reading.level)] if reading.level is not None else []
    said += [reading.modifier] if reading.modifier else []
    said += [f"dials at {dial(reading.dial)}"] if reading.dial else []
    said += [f"behind {listed([gel(name) for name in reading.gels])}"] if reading.gels else []
    return ", ".join(said)


def percent(value: float) -> str:
    """Write a dim level."""
    return f"{tidy(value)} %"


def brighter(stops: float) -> str:
    """Say how many stops brighter or darker something is."""
    if abs(stops) < 0.05:
        return "as bright as foretold"
    return f"{_counted(abs(stops), 'stop')} {'brighter' if stops > 0 else 'darker'} than foretold"


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


def extent(value: float) -> str:
    """Write a length [m] to the millimetre, or in feet and inches to a tenth, as the phone chose."""
    if preferences().length == "m":
        return f"{tidy(round(value, 3))} m"
    feet, inches = divmod(round(value / INCH, 1), 12)
    parts = [f"{tidy(feet)} ft"] if feet else []
    return " ".join([*parts, f"{tidy(round(inches, 1))} in"] if inches or not feet else parts)


def area(value: float) -> str:
    """Write an area [m²] to three figures, in the unit that the phone chose."""
    unit = preferences().length
    shown = value if unit == "m" else value / FOOT**2
    return f"{tidy(float(f'{shown:.3g}'))} {unit}²"


def gel_amount(amount: Amount) -> str:
    """Write how much gel: “3 sheets”, “2.4 m of roll”."""
    if amount.format.form is Form.ROLL:
        return f"{extent(amount.length)} of roll"
    return f"{tidy(amount.units)} sheet{'' if amount.units == 1 else 's'}"


def plain(value: float | int | None) -> str:
    """Write a value as it goes back into a field: a point, an ASCII minus, nothing between thousands."""
    return "" if value is None else f"{value:.10g}"


def white(target: Target) -> str:
    """Name a target."""
    offset = f", Duv {duv(target.duv_offset)} off it" if target.duv_offset else ""
    if target.tint:
        way = "green" if target.tint > 0 else "magenta"
        offset += f", camera taking out {tidy(abs(target.tint))} CC of {way}"
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
        listed,
        dial,
        swap,
        when,
        percent,
        signed,
        decided,
        doing,
        progress,
        stood,
        brighter,
        kelvin,
        duv,
        steps,
        left,
        tolerance,
        stops,
        mired,
        cc,
        lux,
        extent,
        area,
        gel_amount,
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
        ROLES=[(role.value, _ROLES[role]) for role in Role],
        STAGES={stage.value: words for stage, words in _STAGES.items()},
        WARMER=_choices(CTO_FRACTIONS, "CTO warmer", "CTB cooler"),
        GREENER=_choices(GREEN_FRACTIONS, "greener", "more magenta"),
    )


def _choices(fractions: Sequence[float], more: str, less: str) -> list[tuple[str, str]]:
    """Offer the fractions of a gel both ways, each with its value for the form."""
    names = ("an eighth", "a quarter", "a half", "three quarters", "a full")
    ways = [(f"{name} {more}", plain(round(v, 4))) for name, v in zip(names, fractions, strict=True)]
    back = [(f"{name} {less}", plain(-round(v, 4))) for name, v in zip(names, fractions, strict=True)]
    return [("as the target", "0"), *ways, *back]
