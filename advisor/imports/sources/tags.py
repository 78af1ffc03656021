"""How a source stood when it was read: dim level, modifier and dials, from the cells of a row."""

from collections.abc import Mapping, Sequence

from pydantic import TypeAdapter, ValidationError
from pydantic_core import PydanticCustomError

from ...model import Problem, Reading, Setting, problems_in
from ...model.basis.quantities import DialCCT, quantity_of, tidy
from ...model.sets.reading import Modifier
from ..text.cells import Cell, problem
from ..vocabulary.headings import Field
from ..vocabulary.hung import WITHOUT
from ..vocabulary.languages import folded

_MODIFIER = TypeAdapter[str](Modifier)
_FULL = frozenset({"full", "at full"})


def tags_of_each(
    rows: Sequence[Mapping[Field, Cell]], numbers: Sequence[Mapping[Field, float | PydanticCustomError]]
) -> list[tuple[dict[str, object], list[Problem]]]:
    """Return the tags of each row as fields of a reading, with all that is wrong with them.

    `rows` are the cells that say something, and `numbers` what was read in them. A dim level of “full” is
    100 %; each stop below full is half the light.
    """
    return [_tags(given, read) for given, read in zip(rows, numbers, strict=True)]


def _tags(
    given: Mapping[Field, Cell], numbers: Mapping[Field, float | PydanticCustomError]
) -> tuple[dict[str, object], list[Problem]]:
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
        read = numbers[field]
        if isinstance(read, PydanticCustomError):
            problems.append(problem(cell.where, read))
        else:
            values[field] = read
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
    if modifier is not None and folded(modifier.text.strip()) not in WITHOUT:
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
