"""What two people wanted of one thing, side by side, for the second one to choose."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from .forms import Form

_LABELS = {
    "x": "x",
    "y": "y",
    "cct": "CCT",
    "duv": "Duv",
    "lux": "Illuminance",
    "ra": "Ra",
    "r9": "R9",
    "rf": "Rf",
    "rg": "Rg",
    "ssi": "SSI",
    "ssi_reference": "SSI against",
    "keep": "Hangs in any case",
    "level": "Dim level",
    "dial_cct": "CCT on its dial",
    "dial_green": "Green on its dial",
    "on_subject": "Falls on the subject",
    "over_key": "At most over the key",
    "tolerance_steps": "Tolerance",
    "watts": "Power",
    "reach_cct_from": "Dial: CCT from",
    "reach_cct_to": "Dial: CCT to",
    "reach_cct_step": "Dial: step of CCT",
    "reach_green_from": "Dial: green from",
    "reach_green_to": "Dial: green to",
    "reach_green_step": "Dial: step of green",
    "target_cct": "Target CCT",
    "target_locus": "Target is on",
    "target_duv_offset": "Off the locus",
    "target_tint": "Camera's tint",
    "max_layers": "Most layers",
    "max_stops": "Most light lost",
    "meter_cct_percent": "Meter's CCT",
    "meter_duv": "Meter's Duv",
    "gel_percent": "Gels' strength",
    "exclude_families": "Families left out",
    "only_cut": "Only what is cut",
    "only_gels": "Gels that are cut",
    "share_stock": "One stock for all",
}
"""Fields whose name does not say it; the others are called by their names."""


@dataclass(frozen=True)
class Difference:
    """What is wanted of one thing: how it is now, and how the second writer wanted it, in words."""

    what: str
    theirs: str
    mine: str


def disagreements(form: Form, theirs: Mapping[str, Any]) -> list[Difference]:
    """Return where what was typed in `form` differs from the fields as they would now be shown."""
    found = []
    for name, now in theirs.items():
        mine = ", ".join(form.chosen(name)) if isinstance(now, list) else form.value(name).strip()
        stands = ", ".join(now) if isinstance(now, list) else str(now)
        if mine != stands:
            label = _LABELS.get(name, name.capitalize())
            found.append(Difference(label, stands or "empty", mine or "empty"))
    return found
