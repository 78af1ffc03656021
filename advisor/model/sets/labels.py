"""What the gels' labels of a record mean beside those of the table at hand."""

from collections.abc import Sequence
from dataclasses import dataclass

from ..basis.base import name_key
from ..basis.quantities import tidy
from ..gels.gel import Gel
from .whole import Whole


@dataclass(frozen=True)
class LabelDifference:
    """A gel of a record that is missing here, or differs, as `says`; `used` is whether the set names it."""

    name: str
    says: str
    used: bool


def label_differences(whole: Whole, here: Sequence[Gel]) -> list[LabelDifference]:
    """Compare the gels of a record with a table, by name without regard to case; those in use come first.

    Only what a label means is compared: shifts, light lost, transmittance; not stock, note or switch.
    """
    known = {name_key(gel.name): gel for gel in here}
    used = _used(whole)
    found = []
    for gel in whole.gels:
        says = _says(gel, known.get(name_key(gel.name)))
        if says:
            found.append(LabelDifference(gel.name, says, name_key(gel.name) in used))
    return sorted(found, key=lambda difference: not difference.used)


def _used(whole: Whole) -> set[str]:
    names = set(whole.set.limits.only_gels or [])
    for item in whole.sources:
        names |= {name for dated in item.readings for name in dated.reading.gels}
        names |= set(item.source.keep) | set(item.source.only_gels or [])
        if work := item.source.work:
            names |= {*work.gels, *(work.instead.gels if work.instead else ())}
    return {name_key(name) for name in names}


def _says(there: Gel, here: Gel | None) -> str:
    if here is None:
        return "not in the table here"
    parts = [
        f"{label} {tidy(theirs)} in the record, {tidy(ours)} here"
        for label, theirs, ours in (("mired", there.mired, here.mired), ("CC", there.cc, here.cc))
        if theirs != ours
    ]
    if there.stops != here.stops:
        stops = ["worked out" if v is None else tidy(v) for v in (there.stops, here.stops)]
        parts.append(f"stops {stops[0]} in the record, {stops[1]} here")
    if there.transmittance != here.transmittance:
        parts.append("another transmittance")
    return " · ".join(parts)
