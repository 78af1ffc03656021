"""A tolerance as a crew says it: in steps, or as a fraction of a gel at the white in question."""

import re

from ...model import Refused
from ..readings.chromaticity import WhitePoint
from ..readings.steps import scale_at
from .ladder import FRACTIONS, Ladder

_PLACES = {typed: k for k, fraction in enumerate(FRACTIONS) for typed in (fraction.name, fraction.glyph)}
_SAID = re.compile(r"\s*(\S+?)\s*(?:of\s+)?(cto|ctb|(?:plus |minus )?green|magenta)\s*", re.IGNORECASE)
_ALLOWED = "steps, such as 3, or a fraction of a gel, such as 1/8 CTO or 1/4 green"


def steps_of(text: str, white: WhitePoint, ladder: Ladder) -> str | float:
    """Return how many steps a fraction of a gel is at `white`; other text as it is, for the model to read.

    How large the fraction is, `ladder` says; green with no sign is plus green, magenta is minus green.

    Raises Refused for a gel whose fraction is none.
    """
    said = _SAID.fullmatch(text)
    if said is None:
        return text
    index, gel = _PLACES.get(said[1].lower()), said[2].lower()
    if index is None:
        raise Refused.one("tolerance_steps", f"{text.strip()!r} is not a gel fraction", _ALLOWED)
    scale = scale_at(white)
    if gel in ("cto", "ctb"):
        return round((ladder.cto if gel == "cto" else ladder.ctb)[index] * scale.steps_per_mired, 1)
    taken_out = gel == "magenta" or gel.startswith("minus")
    return round((ladder.minus_green if taken_out else ladder.plus_green)[index] * scale.steps_per_duv, 1)
