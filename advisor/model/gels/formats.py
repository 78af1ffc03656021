"""The sizes that gel comes in: sheets and rolls."""

from enum import StrEnum
from typing import Annotated, Self

from pydantic import Field, ValidationError, model_validator

from ..basis.base import Model, Name, OneOf, refuse_twice
from ..basis.problems import refuse, wrong
from ..basis.quantities import FormatLength, FormatWidth


class ComesAs(StrEnum):
    """How gel comes: a sheet is pulled whole, a roll is cut off by length; a scrim is a piece, never cut."""

    SHEET = "sheet"
    ROLL = "roll"
    PIECE = "piece"


CUT_FROM = (ComesAs.SHEET, ComesAs.ROLL)
"""What gel is cut from: the sizes that a crew can give."""


class Format(Model):
    """A sheet, or a whole roll, of `width` × `length` [m]."""

    name: Name
    form: Annotated[ComesAs, OneOf(ComesAs, "form")]
    width: FormatWidth
    length: FormatLength


class FormatTable(Model):
    """The sizes that a crew cuts from, in the order in which they are written; at least one."""

    rows: list[Format] = Field(min_length=1, max_length=20)

    @model_validator(mode="after")
    def _unique(self) -> Self:
        refuse_twice((row.name for row in self.rows), "stands here twice", "each name once")
        if any(row.form not in CUT_FROM for row in self.rows):
            raise wrong("gel is not cut from a piece", "sheet or roll")
        return self


WHOLE = Format(name="Scrim", form=ComesAs.PIECE, width=0.3, length=0.3)
"""What is taken off the truck as it is: of a scrim the head decides the size, so it is only counted."""
EXAMPLE_SIZES = FormatTable(
    rows=[
        Format(name="Sheet", form=ComesAs.SHEET, width=0.5, length=0.6),
        Format(name="Large sheet", form=ComesAs.SHEET, width=0.5, length=1.2),
        Format(name="Roll", form=ComesAs.ROLL, width=1.2, length=7.5),
        Format(name="Wide roll", form=ComesAs.ROLL, width=1.5, length=6.0),
    ]
)
"""Examples to start with, in round numbers, which a crew changes to what is on its truck."""


def formats_from(text: str | None) -> FormatTable:
    """Read a table that was kept as JSON; the examples where there is none. Raises Refused."""
    if text is None:
        return EXAMPLE_SIZES
    try:
        return FormatTable.model_validate_json(text)
    except ValidationError as error:
        raise refuse(error) from None
