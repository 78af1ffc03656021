"""Forms: what was typed, what is wrong with it, and the model that it makes."""

from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, TypeVar

from pydantic import BaseModel, ValidationError

from ...model import Locus, Problem, Refused, refuse
from .typed import Likely, likely_locus, likely_meant

_Model = TypeVar("_Model", bound=BaseModel)
_FIELDS = {
    "xy[0]": "x",
    "xy[1]": "y",
    "xy": "x",
    "spectrum": "cct",
    "reading": "cct",
    "target": "target_cct",
    "reach": "reach_cct_from",
}
_PREFIXED = ("target", "gelled", "use", "dial", "reach")


@dataclass
class Form:
    """The fields as typed, with the problems beside them."""

    values: Mapping[str, Any] = field(default_factory=dict)
    problems: Sequence[Problem] = ()
    _focus: str = field(default="", init=False, compare=False)

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

    def likely(self, name: str) -> list[Likely]:
        """Return what a number that was refused may mean, the likeliest first."""
        if not self.wrong(name):
            return []
        if name == "target_cct" and self.value("target_locus") == Locus.DAYLIGHT:
            locus = likely_locus(self.value(name))
            if locus:  # it is the choice beside it that is wrong
                return locus
        return likely_meant(name, self.value(name))

    def likely_of_all(self) -> dict[str, list[Likely]]:
        """Return the same of each refused field for which something is likely, by its name."""
        names = dict.fromkeys(field_of(p.where) for p in self.problems)
        return {name: likely for name in names if (likely := self.likely(name))}

    def touched(self, names: Sequence[str]) -> bool:
        """Whether one of these fields has a value, or is wrong."""
        return any(self.value(name) or self.wrong(name) for name in names)

    def gone(self, name: str, showed: Sequence[str] | None, offered: Collection[str]) -> list[str]:
        """Return what a field was shown with, or has ticked, that is not offered any more."""
        return [own for own in dict.fromkeys([*(showed or ()), *self.chosen(name)]) if own not in offered]

    def takes_focus(self, name: str) -> bool:
        """Whether a wrong field is the first one of its page, which asks this of each in their order."""
        self._focus = self._focus or name
        return self._focus == name

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
    outer = next((part for part in reversed(where.split(".")[:-1]) if part in _PREFIXED), "")
    return f"{outer}_{name}" if outer else name


def filled_rows(form: Form, most: int, *names: str) -> list[int]:
    """Return the rows in which something was typed."""
    return [i for i in range(most) if any(form.value(f"{name}_{i}").strip() for name in names)]


def in_row(no: Refused, i: int) -> list[Problem]:
    """Point at the fields of row `i`."""
    return [p.model_copy(update={"where": f"{p.where}_{i}"}) for p in no.problems]


def make(model: type[_Model], data: Mapping[str, Any]) -> _Model:
    """Make a model from form data; raises Refused."""
    try:
        return model.model_validate(data)
    except ValidationError as error:
        raise refuse(error) from None
