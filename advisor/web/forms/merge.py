"""Two people at one form: what either changed is kept, and only what both changed is asked about.

A form brings along what its fields showed when it was opened (`SHOWED`). So three things can be compared:
what the person saw, what they typed, and what stands now. Values are compared as they are shown, so a number
that comes back as the field had it is no change, whatever digits stand behind it.
"""

import json
import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace
from math import isclose
from typing import Any

from ...model import Refused
from ...model.basis import numbers
from ...model.basis.fields import field_label
from .form import Form

SHOWED, ASKED, PICK = "showed", "asked", "pick_"
"""Fields of a form: what it showed, what it asked about, and before a unit's name, what was chosen there."""
_TEXTS = {"name", "note", "modifier", "ssi_reference", "family", "fraction", "kind", "form", "row"}
"""Fields in which a number is a piece of text, so that 07 is not 7."""
_LONGEST = 200_000

Fields = Mapping[str, Any]
"""What stands in fields by their names: a text, or a list of those that are ticked."""
Units = Mapping[str, tuple[str, ...]]
"""Fields that say one thing together, such as a reading, by a name; any other field is a unit of its own."""


@dataclass(frozen=True)
class Contest:
    """What two people changed: its name in the form, what it is, both values in words, whose theirs is."""

    unit: str
    what: str
    theirs: str
    mine: str
    who: str = ""
    at: str = ""


@dataclass(frozen=True)
class Merged:
    """A form with what others changed put into it, and what both changed, where it stands as typed."""

    form: Form
    contests: tuple[Contest, ...] = ()

    def by(self, name: Callable[[str], tuple[str, str]]) -> "Merged":
        """Return the same with who changed each contested unit, and when, as `name` says of it."""
        found = [replace(c, who=who, at=at) for c in self.contests for who, at in [name(c.unit)]]
        return replace(self, contests=tuple(found))


def as_showed(fields: Fields) -> str:
    """Write what a form shows, for its hidden field."""
    return json.dumps(dict(fields), ensure_ascii=False, separators=(",", ":"))


def showed_in(form: Form) -> Fields | None:
    """Return what a form showed when it was opened; None where it does not say. Raises Refused."""
    if not (text := form.value(SHOWED)):
        return None
    try:
        found = json.loads(text) if len(text) <= _LONGEST else None
    except (ValueError, RecursionError):
        found = None
    if not isinstance(found, dict) or not all(map(_is_value, found.values())):
        raise Refused.one(SHOWED, "the page does not say what it showed", "open the page anew")
    return found


def _is_value(value: object) -> bool:
    return isinstance(value, str) or (isinstance(value, list) and all(isinstance(v, str) for v in value))


def same(name: str, one: Any, other: Any) -> bool:
    """Whether two values of a field are one: lists in any order, numbers however they are written."""
    if isinstance(one, list) or isinstance(other, list):
        return set(one or ()) == set(other or ())
    first, second = str(one).strip(), str(other).strip()
    if first == second:
        return True
    if _root(name) in _TEXTS:
        return False
    try:
        a, b = numbers.parse(first), numbers.parse(second)
    except numbers.NotANumber:
        return False
    return a.unit == b.unit and any(isclose(x, y, rel_tol=1e-9) for x in a.values for y in b.values[:1])


def _root(name: str) -> str:
    """Return a field's name without the number of its row."""
    return re.sub(r"_\d+$", "", name)


def merge(
    form: Form,
    showed: Fields,
    now: Fields,
    units: Units | None = None,
    say: Callable[[str, str], str] = lambda field, value: value,
    *,
    moved: bool = True,
) -> Merged:
    """Lay what was typed in `form`, over what it `showed`, on the fields as they stand `now`.

    `say` puts a field's value into words. A list of ticks is merged tick by tick. What both changed stands in
    the form as typed until the writer picks one; what they were asked about and did not pick is asked again.
    Where nothing `moved` since the form was opened, nobody else changed anything.
    """
    now = {**{name: _empty(own) for name, own in showed.items()}, **now}
    before = {name: showed.get(name, _empty(own)) for name, own in now.items()}
    values: dict[str, Any] = {name: form.value(name) for name in form.values}
    values |= {name: form.chosen(name) for name, own in now.items() if isinstance(own, list)}
    contests = []
    for unit, fields in _units(now, units or {}).items():
        mine = [f for f in fields if not same(f, values.get(f, ""), before[f])]
        theirs = [f for f in fields if moved and not same(f, now[f], before[f])]
        differ = [f for f in fields if not same(f, values.get(f, ""), now[f])]
        picked = form.value(PICK + unit)
        if not mine or not differ or picked == "theirs":
            values |= {f: now[f] for f in fields}
        elif all(isinstance(now[f], list) for f in {*mine, *theirs}):
            values |= {f: now[f] for f in fields if f not in mine}
            values |= {f: _ticks(before[f], values[f], now[f]) for f in mine}
        elif theirs or (unit in form.chosen(ASKED) and picked != "mine"):
            words = (_said(differ, fields, source, say) for source in (now, values))
            contests.append(Contest(unit, field_label(unit), *words))
    return Merged(Form(values, form.problems), tuple(contests))


def _empty(value: object) -> Any:
    return [] if isinstance(value, list) else ""


def _units(now: Fields, units: Units) -> dict[str, tuple[str, ...]]:
    """Return the units in the order of the fields."""
    of = {field: unit for unit, fields in units.items() for field in fields}
    found: dict[str, tuple[str, ...]] = {}
    for name in now:
        unit = of.get(name, name)
        found[unit] = (*found.get(unit, ()), name)
    return found


def _ticks(before: Iterable[str], mine: Iterable[str], now: Iterable[str]) -> list[str]:
    """Return the ticks that stand now, with those that the person set and without those they took out."""
    mine, before = list(mine), list(before)
    kept = [tick for tick in now if tick in mine or tick not in before]
    return kept + [tick for tick in mine if tick not in before and tick not in kept]


def _said(differ: list[str], fields: tuple[str, ...], values: Fields, say: Callable[[str, str], str]) -> str:
    parts = []
    for field in differ:
        value = values.get(field, "")
        text = ", ".join(value) if isinstance(value, list) else say(field, str(value).strip())
        label = "" if len(fields) == 1 else f"{field_label(_root(field))} "
        parts.append(f"{label}{text or 'empty'}")
    return ", ".join(parts)
