"""The two sides of a piece of gel, in the unit that whoever cuts it speaks in."""

from ...access.preferences import preferences
from ...wording.values import plain, whole_extent

_METRE = 1.0


def sides(width: float, height: float) -> str:
    """Write two sides [m], in centimetres where both are under a metre: “35 cm × 60 cm”.

    A phone that chose feet has feet and inches.
    """
    if preferences().length != "m" or max(width, height) >= _METRE:
        return f"{whole_extent(width)} × {whole_extent(height)}"
    return " × ".join(f"{plain(round(100 * side))}\N{NO-BREAK SPACE}cm" for side in (width, height))
