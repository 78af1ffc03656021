"""How a source stood when it was read: dim level, modifier and dials, from the cells of a row."""

from collections.abc import Mapping

from pydantic import TypeAdapter, ValidationError
from pydantic_core import PydanticCustomError

from ...model import Problem, Reading, Setting, problems_in
from ...model.basis.quantities import DialCCT, quantity_of, tidy
from ...model.sets.reading import Modifier
from ..text.cells import Cell, number, problem
from ..vocabulary.headings import Field

_MODIFIER = TypeAdapter[str](Modifier)
_NO_MODIFIER = frozenset(
    {
        "bare",
        "no",
        "without",
        "none",
        "ohne",
        "sans",
        "sin",
        "senza",
        "sem",
        "geen",
        "zonder",
        "bez",
        "utan",
        "uten",
        "uden",
    }
)
_FULL = frozenset({"full", "at full"})
_NO_FACTORS: Mapping[Field, float] = {}


def tags_in(
    given: Mapping[Field, Cell], mark: str | None, factors: Mapping[Field, float] = _NO_FACTORS
) -> tuple[dict[str, object], list[Problem]]:
    """Return the tags as fields of a reading, with all that is wrong with them.

    `given` are the cells that say something, `mark` is the decimal mark of the table, `factors` are what its
    headings say of scales. A dim level of “full” is 100 %; each stop below full is half the light.
    """
    tags: dict[str, object] = {}
    problems: list[Problem] = []
    values: dict[Field, float] = {}
    for field in (Field.LEVEL, Field.STOPS_DOWN, Field.DIAL_CCT, Field.DIAL_GREEN):
        cell = given.get(field)
        if cell is None:
            continue
        if field is Field.LEVEL and cell.text.strip().casefold() in _FULL:
            values[field] = 100.0
            continue
        try:
            values[field] = number(cell, field, factor=factors.get(field, 1.0), mark=mark)
        except PydanticCustomError as error:
            problems.append(problem(cell.where, error))
    if Field.LEVEL in values:
        tags["level"] = values[Field.LEVEL]
    elif Field.STOPS_DOWN in values:
        tags["level"] = 100 * 0.5 ** abs(values[Field.STOPS_DOWN])
    if Field.DIAL_CCT in values:
        tags["dial"] = Setting(cct=values[Field.DIAL_CCT], green=values.get(Field.DIAL_GREEN, 0.0))
    elif Field.DIAL_GREEN in values and Field.DIAL_CCT not in given:
        says = f"green on the dial is {tidy(values[Field.DIAL_GREEN])}, and its CCT is missing"
        allowed = f"the CCT on the dial beside it, {quantity_of(DialCCT).allowed}"
        problems.append(Problem(where=given[Field.DIAL_GREEN].where, says=says, allowed=allowed))
    modifier = given.get(Field.MODIFIER)
    if modifier is not None and modifier.text.strip().casefold() not in _NO_MODIFIER:
        try:
            tags["modifier"] = _MODIFIER.validate_python(modifier.text)
        except ValidationError as error:
            problems += [p.model_copy(update={"where": modifier.where}) for p in problems_in(error)]
    return tags, problems


def same_tags(one: Reading, other: Reading) -> bool:
    """Whether two readings were taken as the source stood alike, as far as anybody said."""
    return _stood(one) == _stood(other)


def tagged(reading: Reading) -> bool:
    """Whether anything is said about how the source stood."""
    return _stood(reading) != (None, "", None, ())


def _stood(reading: Reading) -> tuple[float | None, str, Setting | None, tuple[str, ...]]:
    return reading.level, reading.modifier.casefold(), reading.dial, tuple(reading.gels)
