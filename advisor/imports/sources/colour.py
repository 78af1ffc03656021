"""The colour of a reading: the ways to give it, which of them a row takes, and what is missing of it."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from pydantic_core import PydanticCustomError

from ...model import Problem
from ..text.cells import Cell, problem
from ..vocabulary.headings import Field

#: The ways to give a colour, the one that is used first.
WAYS: tuple[tuple[Field, ...], ...] = (
    (Field.CCT, Field.DUV),
    (Field.X, Field.Y),
    (Field.U76, Field.V76),
    (Field.U60, Field.V60),
    (Field.BIG_X, Field.BIG_Y, Field.BIG_Z),
)
#: What a colour can be worked out from where it is not given itself.
FROM = {Field.CCT: Field.MIRED, Field.DUV: Field.CC}
NO_COLOUR = "no colour is given"
_COLOUR_ALLOWED = "CCT with Duv, or x and y, or u′ and v′"


def _no_colour(given: Mapping[Field, Cell], where: str) -> Problem:
    """Say what is missing: the other half of a pair, or all of it."""
    if Field.CCT in given and Field.CC not in given and not set(given) & {f for way in WAYS[1:] for f in way}:
        cct = given[Field.CCT].text.strip()[:20]
        return Problem(
            where=where,
            says=f"Duv is missing beside the CCT {cct}",
            allowed="a Duv of −0.05 to 0.05 (0 if the meter gives none), or x and y instead",
        )
    for way in WAYS:
        missing = [f for f in way if f not in given]
        if len(missing) < len(way):
            return Problem(where=where, says=f"{' and '.join(missing)} is missing", allowed=_COLOUR_ALLOWED)
    return Problem(where=where, says=NO_COLOUR, allowed=_COLOUR_ALLOWED)


_Read = Mapping[Field, float | PydanticCustomError]


@dataclass
class Colour:
    """The `way` in which a row gives its colour, None for none, and the `fields` of a reading.

    Where it gives none, `unread` are the numbers that cannot be read, or `wrong` says why they are no colour.
    """

    way: tuple[Field, ...] | None
    fields: dict[str, object] = field(default_factory=dict)
    unread: list[Problem] = field(default_factory=list)
    wrong: Problem | None = None


def colours_of_each(
    rows: Sequence[Mapping[Field, Cell]], numbers: Sequence[_Read], where: Sequence[str]
) -> list[Colour]:
    """Return the colour and the light of each row.

    `rows` are the cells that say something, `numbers` what was read in them, and `where` the rows are.
    """
    return [_colour(*each) for each in zip(rows, numbers, where, strict=True)]


def _colour(given: Mapping[Field, Cell], read: _Read, where: str) -> Colour:
    has = set(given) | {what for what, other in FROM.items() if other in given}
    way = next((way for way in WAYS if set(way) <= has), None)
    if way is None:
        return Colour(None, wrong=_no_colour(given, where))
    values, problems = _values([*way, *([Field.LUX] if Field.LUX in given else [])], given, read)
    if problems:
        return Colour(way, unread=problems)
    fields = _fields(way, values, where)
    if isinstance(fields, Problem):
        return Colour(way, wrong=fields)
    return Colour(way, {**fields, "lux": values.get(Field.LUX)})


def _values(
    fields: Sequence[Field], given: Mapping[Field, Cell], read: _Read
) -> tuple[dict[Field, float], list[Problem]]:
    """Return the numbers of some fields, or work them out: CCT from mired, Duv from CC (1000 × Duv)."""
    values: dict[Field, float] = {}
    problems: list[Problem] = []
    for what in fields:
        own = what if what in given else FROM[what]
        value = read[own]
        if isinstance(value, PydanticCustomError):
            problems.append(problem(given[own].where, value))
        elif own is what:
            values[what] = value
        else:
            values[what] = 1e6 / value if own is Field.MIRED else value / 1000
    return values, problems


def _fields(way: tuple[Field, ...], values: Mapping[Field, float], where: str) -> dict[str, object] | Problem:
    """Return the fields of a reading for the numbers that give its colour; say where they are no colour."""
    if way == WAYS[0]:
        return {"cct": values[Field.CCT], "duv": values[Field.DUV]}
    x, y = _xy(way, [values[f] for f in way])
    if not (x >= 0 and y > 0 and x + y <= 1):
        shown = ", ".join(f"{f} = {values[f]:g}" for f in way)
        return Problem(
            where=where, says=f"{shown} is not a colour", allowed="x of 0 or more, y above 0, x + y up to 1"
        )
    return {"xy": (x, y)}


def _xy(way: tuple[Field, ...], values: list[float]) -> tuple[float, float]:
    """Convert to CIE 1931 x, y (CIE 15:2018, 8.2.1 and note 3 there); (−1, −1) where there is none."""
    if way == WAYS[1]:
        return values[0], values[1]
    if len(values) == 3:
        top_x, top_y, below = values[0], values[1], sum(values)
    elif way == WAYS[2]:
        u, v = values
        top_x, top_y, below = 9 * u, 4 * v, 6 * u - 16 * v + 12
    else:
        u, v = values
        top_x, top_y, below = 3 * u, 2 * v, 2 * u - 8 * v + 4
    return (top_x / below, top_y / below) if below > 0 else (-1.0, -1.0)
