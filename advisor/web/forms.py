"""Forms: what was typed, what is wrong with it, and the model that it makes."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, TypeVar

from pydantic import BaseModel, ValidationError

from ..advice.measure import measure
from ..model import (
    ON_SET,
    Accuracy,
    LightSet,
    Problem,
    Reading,
    Refused,
    Source,
    Target,
    numbers,
    refuse,
)
from ..model.problems import within
from . import shown
from .preferences import FOOT_CANDLE, preferences

_Model = TypeVar("_Model", bound=BaseModel)
_FIGURES = ("ra", "r9", "rf", "rg", "ssi", "ssi_reference")
_READING = ("cct", "duv", "x", "y", "lux", *_FIGURES)
_LIMITS = ("tolerance_steps", "max_layers", "max_stops")
_FIELDS = {"xy[0]": "x", "xy[1]": "y", "xy": "x", "spectrum": "cct", "reading": "cct", "target": "target_cct"}


@dataclass
class Form:
    """The fields as typed, with the problems beside them."""

    values: Mapping[str, Any] = field(default_factory=dict)
    problems: Sequence[Problem] = ()

    def value(self, name: str) -> str:
        """Return what was typed in a field."""
        return str(self.values.get(name, "") or "")

    def chosen(self, name: str) -> list[str]:
        """Return all the values of a field that can have several."""
        many: Callable[[str], list[str]] | None = getattr(self.values, "getlist", None)
        return many(name) if many else list(self.values.get(name, []))

    def wrong(self, name: str) -> list[Problem]:
        """Return the problems of a field."""
        return [p for p in self.problems if field_of(p.where) == name]

    def elsewhere(self, names: Sequence[str]) -> list[Problem]:
        """Return the problems that stand beside none of the fields `names`."""
        return [p for p in self.problems if field_of(p.where) not in names]

    def after(self, error: Refused) -> "Form":
        """Return the same typed values with what is wrong about them."""
        return Form(self.values, error.problems)


def field_of(where: str) -> str:
    """Return the form's field for a place in a model: ``target.cct`` is the field ``target_cct``."""
    last = where.rpartition(".")[2]
    name = _FIELDS.get(last) or last.partition("[")[0]
    if where.startswith("transmittance"):
        return "transmittance"
    outer = where.partition(".")[0]
    return f"{outer}_{name}" if outer in ("target", "gelled") and outer != where else name


def make(model: type[_Model], data: Mapping[str, Any]) -> _Model:
    """Make a model from form data; raises Refused."""
    try:
        return model.model_validate(data)
    except ValidationError as error:
        raise refuse(error) from None


def source_from(form: Form, before: Source | None = None) -> Source:
    """Read a source from its form; raises Refused, also for a colour that no light can have.

    A reading that still stands in its fields as they showed that of `before` is kept as it was: it may
    have more digits than the fields, or be a spectrum.
    """
    data = {
        **(dict(before) if before else {}),
        "name": form.value("name"),
        "kind": form.value("kind") or "unknown",
        "note": form.value("note"),
        "keep": form.chosen("keep"),
    }
    shown_as = fields_of_source(before) if before else {}
    if before and all(form.value(name).strip() == shown_as[name] for name in _READING):
        return make(Source, {**data, "reading": before.reading})
    source = make(Source, {**data, "reading": _reading(form)})
    measure(source.reading)
    return source


def reading_from(form: Form) -> Reading:
    """Read a reading from its fields; raises Refused, also for a colour that no light can have."""
    reading = make(Reading, _reading(form))
    measure(reading)
    return reading


def _reading(form: Form) -> dict[str, Any]:
    """Take CCT with Duv, or x with y, whichever was begun (both is for the model to refuse).

    An empty half is then what is missing; where nothing was begun, CCT and Duv are.
    """
    lux: dict[str, Any] = {name: form.value(name) for name in ("lux", *_FIGURES) if form.value(name).strip()}
    if "lux" in lux:
        lux["lux"] = _in_lux(lux["lux"])
    white = {name: form.value(name) for name in ("cct", "duv")}
    pair = [form.value(name) for name in ("x", "y")]
    if not any(text.strip() for text in pair):
        return {**white, **lux}
    if not any(text.strip() for text in white.values()):
        return {"xy": pair, **lux}
    return {**white, "xy": pair, **lux}


def _in_lux(typed: str) -> str | float:
    """Turn foot-candles into lux, where the text says so or the phone works in them."""
    try:
        parsed = numbers.parse(typed)
    except numbers.NotANumber:
        return typed  # the model says what is wrong with it
    unit = parsed.unit.casefold() or preferences().light
    return parsed.values[0] * FOOT_CANDLE if unit in ("fc", "ftc", "foot-candles") else typed


def target_data(form: Form) -> dict[str, Any]:
    """Take a target from its fields: a CCT on a locus, or a source to match."""
    data: dict[str, Any] = {"duv_offset": form.value("target_duv_offset").strip() or 0.0}
    kind, _, name = form.value("target_locus").partition(":")
    if kind == "source":
        return data | {"source": name}
    return data | {"cct": form.value("target_cct"), "locus": kind or "daylight"}


def target_from(form: Form) -> Target:
    """Read a target from its fields; raises Refused, in their places."""
    with within("target"):
        return make(Target, target_data(form))


def light_set_from(form: Form) -> LightSet:
    """Read a set without its sources; an empty limit is its default. Raises Refused."""
    limits: dict[str, Any] = {name: form.value(name) for name in _LIMITS if form.value(name).strip()}
    limits |= {
        "exclude_families": form.chosen("exclude_families"),
        "only_gels": form.chosen("only_gels") if form.value("only_cut") else None,
        "share_stock": bool(form.value("share_stock")),
    }
    limits["accuracy"] = ON_SET.model_dump() | {
        name: form.value(name) for name in Accuracy.model_fields if form.value(name).strip()
    }
    data = {
        "name": form.value("name"),
        "note": form.value("note"),
        "target": target_data(form),
        "limits": limits,
    }
    return make(LightSet, data)


def fields_of_source(source: Source) -> dict[str, Any]:
    """Return the form's fields for a source as it is."""
    reading = source.reading
    x, y = reading.xy or (None, None)
    return {
        "name": source.name,
        "kind": source.kind.value,
        "note": source.note,
        "keep": source.keep,
        "cct": shown.plain(reading.cct),
        "duv": shown.plain(reading.duv),
        "x": shown.plain(x),
        "y": shown.plain(y),
        "lux": shown.plain(reading.lux and reading.lux / (FOOT_CANDLE if preferences().light == "fc" else 1)),
        **{name: shown.plain(getattr(reading, name)) for name in _FIGURES if name != "ssi_reference"},
        "ssi_reference": reading.ssi_reference or "",
    }


def fields_of_set(light_set: LightSet) -> dict[str, Any]:
    """Return the form's fields for a set as it is."""
    target, limits = light_set.target, light_set.limits.model_dump()
    return {
        "name": light_set.name,
        "note": light_set.note,
        "target_cct": shown.plain(target.cct),
        "target_locus": target.locus.value if target.source is None else f"source:{target.source}",
        "target_duv_offset": shown.plain(target.duv_offset) if target.duv_offset else "",
        **{name: shown.plain(limits[name]) for name in _LIMITS},
        **{name: shown.plain(value) for name, value in limits["accuracy"].items()},
        "exclude_families": limits["exclude_families"],
        "only_cut": "yes" if limits["only_gels"] is not None else "",
        "only_gels": limits["only_gels"] or [],
        "share_stock": "yes" if limits["share_stock"] else "",
    }
