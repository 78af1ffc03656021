"""How values and names are written for a person: with units, real minus signs, the trade's fractions."""

import re
from collections.abc import Sequence
from datetime import UTC, datetime, timedelta
from math import ceil

from markupsafe import Markup

from ...advice.pull_list.cutting import GelAmount
from ...model import Seen, StandMove
from ...model.basis.base import utc_text
from ...model.basis.quantities import MINUS, tidy, tidy_each
from ...model.basis.units import FOOT, FOOT_CANDLE, INCH
from ...model.gels.formats import ComesAs
from ...model.gels.gel import names_scrims
from ...model.sets.phrases import counted, grouped, measured, signed, signed_each, times_as_far
from ..access.preferences import preferences

_MONTHS = ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"]
_NBSP = "\N{NO-BREAK SPACE}"
_WHOLE = 13
"""A gel's name of so many characters stays on one line, as “⅛ minus green” does; of a longer one its fraction
stays with the word that follows."""
_FRACTIONS = {"1/8": "⅛", "1/4": "¼", "1/2": "½", "3/4": "¾", "1/3": "⅓", "2/3": "⅔", "3/8": "⅜", "5/8": "⅝"}


def gels(names: Sequence[str]) -> list[str]:
    """Write gels as `gel` does, those of one name once, with their number: “two ¼ CTO”."""
    return grouped([gel(name) for name in names])


def gel(name: str) -> str:
    """Write a gel as a crew says it, not to be broken: ``CTO 1/4`` is “¼ CTO”, ``ND 0.3`` stays."""
    family, _, fraction = name.rpartition(" ")
    if re.match(r"[A-Z][a-z]", family):
        family = lower_first(family)
    if fraction == "full" and names_scrims(family):
        words = family
    elif fraction == "full" or "/" in fraction:
        words = f"{fraction_said(fraction)}{_NBSP}{family}"
    else:
        words = f"{family}{_NBSP}{fraction}"
    return words.replace(" ", _NBSP) if len(words) <= _WHOLE else words


def fraction_said(fraction: str) -> str:
    """Write a gel's fraction alone: ``1/4`` is “¼”, ``full`` and ``0.3`` stay."""
    return _FRACTIONS.get(fraction, fraction)


def breakable(text: str) -> str:
    """Let a text break at each of its spaces: where a label has little room."""
    return text.replace(_NBSP, " ")


_BREAKS = re.compile(
    r"(?<=\d) (?=\d{3}(?!\d))"
    r"|(?<=\d) (?=(?:K|lx|fc|%|CC|W|mired|steps?|stops?|m)(?!\w))"
    r"|(?<=\b[xy]) (?=\d)|(?<=\bDuv) (?=[+−\d])|(?<=\bND) (?=\d)|(?<=[⅛¼⅓⅜½⅝⅔¾]) (?=\w)|(?<=\bfull) (?=\w)"
)


def unbroken(text: str) -> str:
    """Keep a figure with its unit, and a gel's fraction with its name, where a text has plain spaces only."""
    return _BREAKS.sub(_NBSP, text)


def when(at: str, *, year: bool = False) -> Markup:
    """Write a time of the store for a page: in the laptop's zone, which a script makes the phone's own.

    `year` is for paper, which outlives it.
    """
    mark = Markup(" data-year") if year else ""
    return Markup('<time datetime="{}"{}>{}</time>').format(at, mark, when_said(at, year=year))


def when_late(done_at: str, sent_at: str, done: str = "taken") -> Markup:
    """Write when something was done that came in later: “taken 16:31, sent 17:29, 28 Nov”."""
    return Markup("{} {}, sent {}").format(done, _when_before(done_at, sent_at), when(sent_at))


def when_between(first: str, last: str) -> Markup:
    """Write between which two times something was: “between 11:40 and 16:05, 28 Nov”."""
    return Markup("between {} and {}").format(_when_before(first, last), when(last))


def _when_before(first: str, last: str) -> Markup:
    """Write the first of two times, without its day where that is the same."""
    here, there = (_here(datetime.fromisoformat(at)) for at in (first, last))
    if here.date() != there.date():
        return when(first)
    return hour(first)


def hour(at: str) -> Markup:
    """Write a time of the store without its day: “15:40”."""
    return Markup('<time datetime="{}" data-hour>{}</time>').format(
        at, f"{_here(datetime.fromisoformat(at)):%H:%M}"
    )


def when_said(at: str, *, year: bool = False) -> str:
    """Write a time of the store in the laptop's zone: “06:41, 25 Nov”; another year is said too."""
    time, now = _here(datetime.fromisoformat(at)), datetime.now()
    return f"{time:%H:%M}, {time.day} {_MONTHS[time.month - 1]}" + (
        f" {time.year}" if year or time.year != now.year else ""
    )


def day_said(at: str) -> str:
    """Write the day of a time of the store in the laptop's zone: “3 Mar”; another year is said too."""
    time = _here(datetime.fromisoformat(at))
    year = f" {time.year}" if time.year != datetime.now().year else ""
    return f"{time.day} {_MONTHS[time.month - 1]}{year}".replace(" ", _NBSP)


def at_present() -> str:
    """Return the present time as the store writes times: a page says what hangs as at that."""
    return utc_text(datetime.now(UTC))


def zone() -> str:
    """Name the laptop's zone as it is now: “UTC+1”."""
    offset = datetime.now().astimezone().utcoffset() or timedelta()
    minutes = round(offset.total_seconds() / 60)
    hours, rest = divmod(abs(minutes), 60)
    sign = MINUS if minutes < 0 else "+"
    return f"UTC{sign}{hours}" + (f":{rest:02}" if rest else "") if minutes else "UTC"


def _here(time: datetime) -> datetime:
    return (time if time.tzinfo else time.replace(tzinfo=UTC)).astimezone()


def kelvin(value: float | None) -> str:
    """Write a CCT, to the kelvin."""
    return "no CCT" if value is None else f"{tidy(value, 0)}{_NBSP}K"


def whites_said(whites: Sequence[tuple[float, float]]) -> list[str]:
    """Write several whites, each a CCT and a Duv, as `white_said` does."""
    ccts, duvs = tidy_each([cct for cct, _ in whites], 0), signed_each([off for _, off in whites], 4)
    return [f"{cct}{_NBSP}K, Duv{_NBSP}{off}" for cct, off in zip(ccts, duvs, strict=True)]


def duv(value: float | None) -> str:
    """Write a Duv with its sign, to the fourth place, as meters show it."""
    if value is None:
        return "no Duv"
    return signed(value, 4)


def white_said(cct: float | None, off: float | None) -> str:
    """Write a white as a meter shows it: “3 180 K, Duv −0.0021”."""
    return f"{kelvin(cct)}, Duv{_NBSP}{duv(off)}"


def steps(value: float) -> str:
    """Write a distance in steps."""
    return measured(value, "step")


def tenth(value: float) -> str:
    """Write a number to a tenth, where its unit was said just before."""
    return tidy(value, 1)


def tolerance(value: float) -> str:
    """Write a tolerance, which a person typed: “3 steps”."""
    return counted(value, "step")


def stops(value: float) -> str:
    """Write a loss in stops."""
    return measured(value, "stop")


def mired(value: float) -> str:
    """Write a mired shift with its sign."""
    return f"{signed(value, 0)}{_NBSP}mired"


def cc(value: float) -> str:
    """Write a green–magenta shift with its sign."""
    return f"{signed(value, 1)}{_NBSP}CC"


def lux(value: float | None) -> str:
    """Write an illuminance to three figures, in the unit that the phone chose."""
    return "" if value is None else luxes([value])[0]


def luxes(values: Sequence[float]) -> list[str]:
    """Write several illuminances, as `lux` does."""
    unit, by = ("fc", FOOT_CANDLE) if preferences().light == "fc" else ("lx", 1.0)
    return [f"{text}{_NBSP}{unit}" for text in tidy_each([float(f"{lit / by:.3g}") for lit in values])]


def extent(value: float) -> str:
    """Write a length [m] to the centimetre, or in feet and inches to an eighth, as the phone chose."""
    if preferences().length == "m":
        return f"{tidy(round(value, 2))} m"
    feet, eighths = divmod(round(value / INCH * 8), 96)
    inches, part = divmod(eighths, 8)
    parts = [f"{tidy(feet)} ft"] if feet else []
    said = f"{inches if inches or not part else ''}{_EIGHTHS[part]}"
    return " ".join([*parts, f"{said} in"] if eighths or not feet else parts)


def where_to(stand: StandMove) -> str:
    """Say to where a stand goes: “2.1 m”, “1.4 × as far”."""
    return extent(stand.distance) if stand.distance else times_as_far(stand)


def whole_extent(value: float) -> str:
    """Write a length as `extent` does, for a page: no line breaks before its unit."""
    return extent(value).replace(" ", _NBSP)


_EIGHTHS = ("", "⅛", "¼", "⅜", "½", "⅝", "¾", "⅞")


def roll(length: float) -> str:
    """Write a length of roll [m], up to a tenth of a metre, or to the inch, since nobody cuts it closer."""
    return whole_extent(rolled(length))


def rolled(length: float) -> float:
    """Return a length of roll [m] as it is written."""
    step = 0.1 if preferences().length == "m" else INCH
    return ceil(round(length / step, 6)) * step


def area(value: float) -> str:
    """Write an area [m²] to three figures, in the unit that the phone chose."""
    unit = preferences().length
    shown = value if unit == "m" else value / FOOT**2
    return f"{tidy(float(f'{shown:.3g}'))} {unit}²"


def gel_amount(amount: GelAmount) -> str:
    """Write how much gel: “3 sheets”, “2 rolls, for 6.7 m”, “1 piece”."""
    if amount.format.form is ComesAs.ROLL:
        return f"{counted(amount.units, 'roll')}, for {roll(amount.length)}"
    return counted(amount.units, amount.format.form.value)


def plain(value: float | int | None) -> str:
    """Write a value as it goes back into a field: a point, an ASCII minus, nothing between thousands."""
    return "" if value is None else f"{value:.10g}"


def lost(value: float) -> str:
    """Write the light lost: “−0.3 stop”; what rounds to nothing, or is gained, is no loss."""
    return f"{MINUS}{measured(value, 'stop')}" if value >= _LEAST_LOSS else "no loss"


_LEAST_LOSS = 0.05
"""Less rounds to nothing. [stop]"""
_GAUGE = {Seen.MATCHES: "○", Seen.CLOSE: "◔", Seen.SHOWS: "◑", Seen.OBVIOUS: "●"}


def gauge(seen: Seen) -> str:
    """Draw how plainly two lights are seen to differ: a circle that fills."""
    return _GAUGE[seen]


def figure(value: float, name: str) -> str:
    """Write a figure that a meter prints, by its name."""
    if name == "CCT":
        return kelvin(value)
    return duv(value) if name == "Duv" else tidy(value, 0)


def lower_first(text: str) -> str:
    """Go on with a sentence, leaving the rest as it is."""
    return text[:1].lower() + text[1:]


def what_next(allowed: str) -> str:
    """Say what to do about a problem: a sentence stands by itself, a range is “Allowed: 1 to 100 %.”."""
    verb = allowed.partition(" ")[0].rstrip(",:")
    return f"{capitalize_first(allowed)}." if verb in _TO_DO else unbroken(f"Allowed: {allowed}.")


_TO_DO = frozenset(
    {
        *("add", "ask", "bring", "change", "check", "choose", "connect", "copy", "delete", "do"),
        *("fetch", "fix", "free", "give", "go", "import", "join", "leave", "look", "make"),
        *("meter", "open", "paste", "put", "read", "remove", "save", "say", "scan", "see"),
        *("send", "set", "take", "tap", "test", "try", "type", "undo", "use", "wait"),
    }
)
"""How what is to be done begins."""


def capitalize_first(text: str) -> str:
    """Begin a sentence, leaving the rest as it is."""
    return text[:1].upper() + text[1:]
