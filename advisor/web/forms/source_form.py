"""The form of a source, and of a reading of it."""

from collections import Counter
from collections.abc import Sequence
from typing import Any, TypeVar

from pydantic import BaseModel

from ...advice.readings.chromaticity import WhitePoint, measure
from ...advice.wording.ladder import Ladder
from ...advice.wording.tolerance import steps_of
from ...model import UNREAD, Kind, NoGel, Problem, Reach, Reading, Refused, Source, Spectrum, Stage, Work
from ...model.basis import numbers
from ...model.basis.units import FOOT_CANDLE
from ...model.sets.reading import MAX_HUNG
from ..access.preferences import preferences
from ..wording import values
from .form import Form, field_of, make
from .merge import Fields, same
from .typed import written_out

_FIGURES = ("ra", "r9", "rf", "rg", "ssi", "ssi_reference")
_TAGS = ("level", "modifier")
READING = ("cct", "duv", "x", "y", "lux", *_FIGURES, *_TAGS, "dial_cct", "dial_green")
"""The fields of a reading."""
_REACH = tuple(f"reach_{name}" for name in Reach.model_fields)
_EXACT = ("over_key", "watts", "tolerance_steps", "max_layers")
"""Numbers that keep all their digits where the form was left as it showed them."""
UNITS = {"reading": READING, "reach": _REACH, "only_gels": ("only_cut", "only_gels")}
"""Fields that say one thing together: half of one reading and half of another is one that nobody took."""
PATHS = {"reading": ("reading_id",)}
"""Where the history of a source has them."""
_NEEDED = {
    "reach_cct_from": ("CCT from", "the dial's lowest CCT"),
    "reach_cct_to": ("CCT to", "the dial's highest CCT"),
    "dial_cct": ("CCT on its dial", "the CCT that the dial says"),
}
"""What must not be empty once something beside it was typed: its label, and what goes there."""
_Made = TypeVar("_Made", bound=BaseModel)


def source_from(
    form: Form, before: Source | None = None, around: tuple[WhitePoint, Ladder] | None = None
) -> Source:
    """Read a source from its form; raises Refused, also for a colour that no light can have.

    A tolerance given as a fraction of a gel is what that is `around` a white, by the ladder of the gels.

    A reading that still stands in its fields as they showed that of `before` is kept as it was: it may
    have more digits than the fields, or be a spectrum. What the form does not show stays as it was.
    """
    data = {
        **(dict(before) if before else {}),
        "name": form.value("name"),
        "kind": form.value("kind") or "unknown",
        "note": form.value("note"),
        "keep": form.chosen("keep"),
    }
    if form.value("shot"):  # the fields of its role were there
        data |= {name: form.value(name).strip() or None for name in ("over_key", "watts", "tolerance_steps")}
        data |= {"role": form.value("role") or "other", "on_subject": form.value("on_subject") or None}
        data["reach"] = reach_from(form)
        if data["tolerance_steps"] and around:
            data["tolerance_steps"] = steps_of(data["tolerance_steps"], *around)
    if form.value("limits"):
        data |= {name: form.value(name).strip() or None for name in ("max_layers", "no_gel")}
        data["only_gels"] = form.chosen("only_gels") if form.value("only_cut") else None
    if before is None:
        source = _made(Source, {**data, "reading": _reading(form)})
        measure(source.reading)
        return _hung_as_read(source, [name for name in form.chosen("read_behind") if name])
    shown_as = fields_of_source(before)
    data |= {k: getattr(before, k) for k in _EXACT if k in data and same(k, form.value(k), shown_as[k])}
    if all(same(name, form.value(name), shown_as[name]) for name in _REACH):
        data["reach"] = before.reach
    if all(same(name, form.value(name), shown_as[name]) for name in READING):
        return _made(Source, {**data, "reading": before.reading})
    source = _made(Source, {**data, "reading": _reading_over(form, before.reading, shown_as)})
    measure(source.reading)
    return source


def _hung_as_read(source: Source, gels: list[str]) -> Source:
    """Return a new source as read behind gels that hang on it already; its bare light is worked out."""
    if not gels:
        return source
    hung = [*gels, *(Counter(source.keep) - Counter(gels)).elements()]
    if len(hung) > MAX_HUNG:
        says = f"{len(hung)} gels hang on it, with what it keeps"
        raise Refused.one("read_behind", says, f"at most {MAX_HUNG}. Leave out what does not hang")
    reading = source.reading.model_copy(update={"gels": hung})
    work = Work(stage=Stage.HUNG, gels=hung, dial=reading.dial, read_behind=reading)
    return source.model_copy(update={"reading": UNREAD, "readings": [reading], "work": work})


def _reading_over(form: Form, before: Reading, shown_as: Fields) -> dict[str, Any]:
    """Take a reading of which the form shows an earlier one: what was not typed anew keeps all its digits."""

    def untouched(*names: str) -> bool:
        return all(same(name, form.value(name), shown_as[name]) for name in names)

    new = _reading(form)
    if untouched("cct", "duv", "x", "y"):
        new |= {name: getattr(before, name) for name in ("cct", "duv", "xy", "spectrum", "duv_assumed")}
    else:
        new |= {k: getattr(before, k) for k in ("cct", "duv") if k in new and untouched(k) and new[k]}
    return new | {k: getattr(before, k) for k in ("lux", *_FIGURES, "level") if k in new and untouched(k)}


def reach_from(form: Form) -> dict[str, str] | None:
    """Take what the dials can do; None where nothing was given."""
    names = ("cct_from", "cct_to", "cct_step", "green_from", "green_to", "green_step")
    given = {name: text for name in names if (text := form.value(f"reach_{name}").strip())}
    return {"cct_from": "", "cct_to": "", **given} if given else None


def _made(model: type[_Made], data: dict[str, Any]) -> _Made:
    """Make a model; raises Refused, which calls the fields that must not be empty as the form does."""
    try:
        return make(model, data)
    except Refused as no:
        raise Refused([_called(problem) for problem in no.problems]) from None


def _called(problem: Problem) -> Problem:
    label, what = _NEEDED.get(field_of(problem.where), ("", ""))
    if not (label and problem.says.endswith(" is empty")):
        return problem
    return Problem(where=problem.where, says=f"{label} is empty", allowed=f"{what}, {problem.allowed}")


def reading_from(form: Form, gels: Sequence[str] = (), spectrum: Spectrum | None = None) -> Reading:
    """Read a reading from its fields, taken behind `gels`; raises Refused, also for what no light can be.

    With a `spectrum`, CCT and Duv may both be empty.
    """
    data = _reading(form)
    if spectrum is not None:
        empty = not any(form.value(name).strip() for name in ("cct", "duv"))
        data = {k: v for k, v in data.items() if not (empty and k in ("cct", "duv"))} | {"spectrum": spectrum}
    reading = _made(Reading, {**data, "gels": list(gels)})
    measure(reading)
    return reading


def mended_from(form: Form, before: Reading) -> Reading:
    """Read a reading that is mended, of which the form showed what it was; raises Refused.

    What was not typed anew keeps all its digits; where `behind` is bare nothing hung, and without the layers
    what hung stays. Who says that other gels hung has looked. Who says that a bare reading was taken behind
    gels tells where the meter was, and not which sheet hung.
    """
    gels = before.gels
    if form.value("behind") == "bare":
        gels = []
    elif form.value("layers"):
        gels = [name for name in form.chosen("read_behind") if name]
    shown_as = fields_of_reading(before)
    data = _reading_over(form, before, shown_as)
    if all(same(name, form.value(name), shown_as[name]) for name in ("dial_cct", "dial_green")):
        data["dial"] = before.dial
    checked = before.gels_checked if gels == before.gels else bool(gels and before.gels)
    burnt = before.gel_burnt and gels == before.gels
    reading = _made(Reading, {**data, "gels": gels, "gels_checked": checked, "gel_burnt": burnt})
    measure(reading)
    return reading


def _reading(form: Form) -> dict[str, Any]:
    """Take CCT with Duv, or x with y, whichever was begun (both is for the model to refuse).

    An empty half is then what is missing; where nothing was begun, CCT and Duv are. The tags come along.
    """
    also: dict[str, Any] = {
        name: text for name in ("lux", *_FIGURES, *_TAGS) if (text := form.value(name).strip())
    }
    if "lux" in also:
        also["lux"] = _in_lux(also["lux"])
    dial = {name: text for name in ("cct", "green") if (text := form.value(f"dial_{name}").strip())}
    if dial:
        also["dial"] = {"cct": "", **dial}
    white = {"cct": form.value("cct"), "duv": written_out(form.value("duv"))}
    pair = [form.value(name) for name in ("x", "y")]
    if not any(text.strip() for text in pair):
        return {**white, **also}
    if not any(text.strip() for text in white.values()):
        return {"xy": pair, **also}
    return {**white, "xy": pair, **also}


def _in_lux(typed: str) -> str | float:
    """Turn foot-candles into lux, where the text says so or the phone works in them."""
    try:
        parsed = numbers.parse(typed)
    except numbers.NotANumber:
        return typed  # the model says what is wrong with it
    unit = parsed.unit.casefold() or preferences().light
    return parsed.values[0] * FOOT_CANDLE if unit in ("fc", "ftc", "foot-candles") else typed


def light_field(lux: float | None) -> str:
    """Return an illuminance [lx] as it goes into its field, in the phone's unit."""
    return values.plain(lux and lux / (FOOT_CANDLE if preferences().light == "fc" else 1))


def fields_of_source(source: Source) -> dict[str, Any]:
    """Return the form's fields for a source as it is."""
    return {
        "name": source.name,
        "kind": source.kind.value,
        "note": source.note,
        "keep": source.keep,
        **fields_of_reading(source.reading),
        "role": source.role.value,
        "on_subject": {None: "", True: "yes", False: "no"}[source.on_subject],
        "over_key": values.plain(source.over_key),
        "watts": values.plain(source.watts),
        "tolerance_steps": values.plain(source.tolerance_steps),
        "max_layers": values.plain(source.max_layers),
        "no_gel": source.no_gel.value if source.no_gel else "",
        "only_cut": "yes" if source.only_gels is not None else "",
        "only_gels": source.only_gels or [],
        **{
            name: values.plain(getattr(source.reach, name.removeprefix("reach_")) if source.reach else None)
            for name in _REACH
        },
    }


def fields_of_reading(reading: Reading) -> dict[str, Any]:
    """Return the form's fields for a reading as it is."""
    x, y = reading.xy or (None, None)
    return {
        "cct": values.plain(reading.cct),
        "duv": values.plain(reading.duv),
        "x": values.plain(x),
        "y": values.plain(y),
        "lux": light_field(reading.lux),
        **{name: values.plain(getattr(reading, name)) for name in _FIGURES if name != "ssi_reference"},
        "ssi_reference": reading.ssi_reference or "",
        "level": values.plain(reading.level),
        "modifier": reading.modifier,
        "dial_cct": values.plain(reading.dial.cct) if reading.dial else "",
        "dial_green": values.plain(reading.dial.green) if reading.dial else "",
    }


def words_of_source(field: str, value: str) -> str:
    """Put what stands in a field of a source into words."""
    if field == "kind" and value in list(Kind):
        return Kind(value).words
    if field == "on_subject":
        return value or "by its role"
    if field == "only_cut":
        return "yes" if value else "no"
    if field == "no_gel":
        return f"none{f': {NoGel(value).words}' if NoGel(value).words else ''}" if value else "may hang"
    return value
