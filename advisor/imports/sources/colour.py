"""The colour of a reading: the ways to give it, which of them a row takes, and what is missing of it."""

from collections.abc import Mapping

from ...model import Problem, Reading
from ..text.cells import Cell
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


def no_colour(given: Mapping[Field, Cell], where: str) -> Problem:
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


def reading_of(way: tuple[Field, ...], values: Mapping[Field, float], where: str) -> Reading | Problem:
    """Make a reading of the numbers that give its colour and light; say where they are no colour."""
    lux = values.get(Field.LUX)
    if way == WAYS[0]:
        return Reading(cct=values[Field.CCT], duv=values[Field.DUV], lux=lux)
    x, y = _xy(way, [values[f] for f in way])
    if not (x >= 0 and y > 0 and x + y <= 1):
        shown = ", ".join(f"{f} = {values[f]:g}" for f in way)
        return Problem(
            where=where, says=f"{shown} is no colour", allowed="x of 0 or more, y above 0, x + y up to 1"
        )
    return Reading(xy=(x, y), lux=lux)


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
