"""The form of a set, and of a target."""

from collections.abc import Sequence
from typing import Any

from ..advice.ladder import Ladder
from ..advice.measure import Whiteness
from ..advice.target import white_of
from ..advice.tolerance import steps_of
from ..model import ON_SET, Accuracy, LightSet, Refused, Source, Target
from ..model.problems import within
from . import shown
from .forms import Form, make

_LIMITS = ("tolerance_steps", "max_layers", "max_stops")
_USUAL = Target(cct=5600.0)


def target_data(form: Form) -> dict[str, Any]:
    """Take a target from its fields: a CCT on a locus, or a source to match."""
    data: dict[str, Any] = {
        name: form.value(f"target_{name}").strip() or 0.0 for name in ("duv_offset", "tint")
    }
    kind, _, name = form.value("target_locus").partition(":")
    if kind == "source":
        return data | {"source": name}
    return data | {"cct": form.value("target_cct"), "locus": kind or "daylight"}


def target_from(form: Form) -> Target:
    """Read a target from its fields; raises Refused, in their places."""
    with within("target"):
        return make(Target, target_data(form))


def light_set_from(form: Form, ladder: Ladder, sources: Sequence[Source] = ()) -> LightSet:
    """Read a set without its sources, of which the target may name one; an empty limit is its default.

    A tolerance given as a fraction of a gel is what that is at the target, by the `ladder` of the gels.

    Raises Refused.
    """
    limits: dict[str, Any] = {name: form.value(name) for name in _LIMITS if form.value(name).strip()}
    limits |= {
        "exclude_families": form.chosen("exclude_families"),
        "only_gels": form.chosen("only_gels") if form.value("only_cut") else None,
        "share_stock": bool(form.value("share_stock")),
    }
    limits["accuracy"] = ON_SET.model_dump() | {
        name: form.value(name) for name in Accuracy.model_fields if form.value(name).strip()
    }
    if "tolerance_steps" in limits:
        limits["tolerance_steps"] = steps_of(limits["tolerance_steps"], _typed_white(form, sources), ladder)
    data = {
        "name": form.value("name"),
        "note": form.value("note"),
        "target": target_data(form),
        "limits": limits,
    }
    return make(LightSet, data)


def usual_white(target: Target, sources: Sequence[Source]) -> Whiteness:
    """Return a target's white, or where it cannot be made out yet a usual one: 5 600 K daylight."""
    try:
        return white_of(target, list(sources))
    except Refused:
        return white_of(_USUAL, [])


def _typed_white(form: Form, sources: Sequence[Source]) -> Whiteness:
    try:
        return usual_white(target_from(form), sources)
    except Refused:
        return white_of(_USUAL, [])


def fields_of_set(light_set: LightSet) -> dict[str, Any]:
    """Return the form's fields for a set as it is."""
    target, limits = light_set.target, light_set.limits.model_dump()
    return {
        "name": light_set.name,
        "note": light_set.note,
        "target_cct": shown.plain(target.cct),
        "target_locus": target.locus.value if target.source is None else f"source:{target.source}",
        "target_duv_offset": shown.plain(target.duv_offset) if target.duv_offset else "",
        "target_tint": shown.plain(target.tint) if target.tint else "",
        **{name: shown.plain(limits[name]) for name in _LIMITS},
        **{name: shown.plain(value) for name, value in limits["accuracy"].items()},
        "exclude_families": limits["exclude_families"],
        "only_cut": "yes" if limits["only_gels"] is not None else "",
        "only_gels": limits["only_gels"] or [],
        "share_stock": "yes" if limits["share_stock"] else "",
    }
