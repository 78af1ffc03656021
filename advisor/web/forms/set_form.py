"""The form of a set, and of a target."""

from collections.abc import Sequence
from typing import Any

from ...advice.readings.chromaticity import WhitePoint
from ...advice.readings.target import white_of
from ...advice.wording.ladder import Ladder
from ...advice.wording.tolerance import steps_of
from ...model import ON_SET, Accuracy, LightSet, Refused, Source, Target
from ...model.basis.problems import within
from ..wording import values
from .form import Form, make
from .merge import same
from .typed import written_out

_LIMITS = ("tolerance_steps", "max_layers", "max_stops")
_TARGET = ("target_cct", "target_locus", "target_duv_offset", "target_tint")
UNITS = {"target_cct": ("target_cct", "target_locus"), "only_gels": ("only_cut", "only_gels")}
"""Fields that say one thing together: a CCT is one on its locus."""
PATHS = {
    "target_cct": ("target.cct", "target.locus", "target_source_id"),
    "target_duv_offset": ("target.duv_offset",),
    "target_tint": ("target.tint",),
    "meter_cct_percent": ("limits.accuracy.meter_cct_percent",),
    "meter_duv": ("limits.accuracy.meter_duv",),
    **{k: (f"limits.{k}",) for k in (*_LIMITS, "exclude_families", "only_gels", "share_stock")},
}
"""Where the history of a set has them."""
_USUAL = Target(cct=5600.0)


def target_choices(sources: Sequence[Source]) -> list[tuple[str, str]]:
    """Return on what a target may lie, or which of the sources it may match: values and words."""
    loci = [("daylight", "Daylight locus"), ("planckian", "Planckian locus")]
    return loci + [(f"source:{source.name}", f"Match {source.name}") for source in sources]


def target_data(form: Form) -> dict[str, Any]:
    """Take a target from its fields: a CCT on a locus, or a source to match."""
    data: dict[str, Any] = {
        "duv_offset": written_out(form.value("target_duv_offset")).strip() or 0.0,
        "tint": form.value("target_tint").strip() or 0.0,
    }
    kind, _, name = form.value("target_locus").partition(":")
    if kind == "source":
        return data | {"source": name}
    return data | {"cct": form.value("target_cct"), "locus": kind or "daylight"}


def target_from(form: Form) -> Target:
    """Read a target from its fields; raises Refused, in their places."""
    with within("target"):
        return make(Target, target_data(form))


def light_set_from(
    form: Form, ladder: Ladder, sources: Sequence[Source] = (), before: LightSet | None = None
) -> LightSet:
    """Read a set without its sources, of which the target may name one; an empty limit is its default.

    A tolerance given as a fraction of a gel is what that is at the target, by the `ladder` of the gels.

    `before` is the set that the form showed. Raises Refused.
    """
    limits: dict[str, Any] = {name: form.value(name) for name in _LIMITS if form.value(name).strip()}
    limits |= {
        "exclude_families": form.chosen("exclude_families"),
        "only_gels": form.chosen("only_gels") if form.value("only_cut") else None,
        "share_stock": bool(form.value("share_stock")),
    }
    said = {name: form.value(name) for name in Accuracy.model_fields}
    said["meter_duv"] = written_out(said["meter_duv"])
    limits["accuracy"] = ON_SET.model_dump() | {k: text for k, text in said.items() if text.strip()}
    if "tolerance_steps" in limits:
        limits["tolerance_steps"] = steps_of(limits["tolerance_steps"], _typed_white(form, sources), ladder)
    data: dict[str, Any] = {
        "name": form.value("name"),
        "note": form.value("note"),
        "target": target_data(form),
        "limits": limits,
    }
    if before is not None:  # what stands as the form shows it keeps all its digits
        shown_as, own = fields_of_set(before), before.limits

        def untouched(name: str) -> bool:
            return same(name, form.value(name), shown_as[name])

        limits |= {name: getattr(own, name) for name in _LIMITS if untouched(name)}
        limits["accuracy"] |= {k: v for k, v in own.accuracy.model_dump().items() if untouched(k)}
        if all(map(untouched, _TARGET)):
            data["target"] = before.target
    return make(LightSet, data)


def usual_white(target: Target, sources: Sequence[Source]) -> WhitePoint:
    """Return a target's white, or where it cannot be made out yet a usual one: 5 600 K daylight."""
    try:
        return white_of(target, list(sources))
    except Refused:
        return white_of(_USUAL, [])


def _typed_white(form: Form, sources: Sequence[Source]) -> WhitePoint:
    try:
        return usual_white(target_from(form), sources)
    except Refused:
        return white_of(_USUAL, [])


def words_of_set(field: str, value: str) -> str:
    """Put what stands in a field of a set into words."""
    if field == "target_locus":
        kind, _, name = value.partition(":")
        return f"as {name}" if kind == "source" else kind
    return ("yes" if value else "no") if field in ("only_cut", "share_stock") else value


def fields_of_set(light_set: LightSet) -> dict[str, Any]:
    """Return the form's fields for a set as it is."""
    target, limits = light_set.target, light_set.limits.model_dump()
    return {
        "name": light_set.name,
        "note": light_set.note,
        "target_cct": values.plain(target.cct),
        "target_locus": target.locus.value if target.source is None else f"source:{target.source}",
        "target_duv_offset": values.plain(target.duv_offset) if target.duv_offset else "",
        "target_tint": values.plain(target.tint) if target.tint else "",
        **{name: values.plain(limits[name]) for name in _LIMITS},
        **{name: values.plain(value) for name, value in limits["accuracy"].items()},
        "exclude_families": limits["exclude_families"],
        "only_cut": "yes" if limits["only_gels"] is not None else "",
        "only_gels": limits["only_gels"] or [],
        "share_stock": "yes" if limits["share_stock"] else "",
    }
