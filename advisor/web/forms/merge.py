"""Two people at one form: what either changed is kept, and only what both changed is asked about.

A form carries what its fields showed when it was opened (`SHOWED`). So three values of a field can be
compared: what the person saw, what they typed, and what is stored now. All three are compared as a form shows
them: a number that comes back as the field showed it is unchanged, even where more digits are stored.
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
"""Names of fields: what the form showed, which units it asked about, and, before a unit's name, whose value
was picked there: “mine” or “theirs”."""
_TEXTS = {"name", "note", "modifier", "ssi_reference", "family", "fraction", "kind", "form", "row"}
"""Fields that are compared as text even where they hold a number, so that 07 is not 7."""
_LONGEST = 200_000
"""The most that `SHOWED` may hold. [character]"""

Fields = Mapping[str, Any]
"""The values of a form by the names of its fields: a text each, or the list of the ticked values."""
Units = Mapping[str, tuple[str, ...]]
"""Fields that say one thing together, such as a reading, by its name. Any other field is its own unit."""


@dataclass(frozen=True)
class Contest:
    """A unit that two people changed.

    `unit` is its name in the form, `what` its label. `theirs` and `mine` are the two values in words; `who`
    typed theirs, and when (`at`).
    """

    unit: str
    what: str
    theirs: str
    mine: str
    who: str = ""
    at: str = ""


@dataclass(frozen=True)
class Merged:
    """A form into which the changes of others were put.

    The units of `contests` were changed by both: in `form` they are as they were typed.
    """

    form: Form
    contests: tuple[Contest, ...] = ()

    def by(self, changed_by: Callable[[str], tuple[str, str]]) -> "Merged":
        """Return a copy whose contests say who changed the unit, and when: `changed_by` returns both."""
        found = [replace(c, who=who, at=at) for c in self.contests for who, at in [changed_by(c.unit)]]
        return replace(self, contests=tuple(found))


def as_showed(fields: Fields) -> str:
    """Write what a form shows, for its hidden field."""
    return json.dumps(dict(fields), ensure_ascii=False, separators=(",", ":"))


def showed_in(form: Form) -> Fields | None:
    """Return what a form showed when it was opened; None if it does not carry that. Raises Refused."""
    if not (text := form.value(SHOWED)):
        return None
    try:
        found = json.loads(text) if len(text) <= _LONGEST else None
    except (ValueError, RecursionError):
        found = None
    if not isinstance(found, dict) or not all(map(_is_value, found.values())):
        raise Refused.one(SHOWED, "the page does not say what it showed", "open the page again")
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
    """Merge what was typed in `form` with what is stored `now`; `showed` is what the form showed at first.

    `say` puts a field's value into words. A list of ticks is merged tick by tick. A unit that both people
    changed keeps what was typed until the writer picks a value; a unit that the form asked about, and for
    which they picked none, is asked about again. `moved` is False if nothing was stored since the form was
    opened: then nobody else changed anything.
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
    """Return the fields of each unit, in the order of `now`."""
    of = {field: unit for unit, fields in units.items() for field in fields}
    found: dict[str, tuple[str, ...]] = {}
    for name in now:
        unit = of.get(name, name)
        found[unit] = (*found.get(unit, ()), name)
    return found


def _ticks(before: Iterable[str], mine: Iterable[str], now: Iterable[str]) -> list[str]:
    """Return the ticks of `now`, with those that the person set and without those that they took out."""
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
