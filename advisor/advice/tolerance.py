"""A tolerance as a crew says it: in steps, or as a fraction of a gel at the white in question."""

import re

from ..model import Refused
from .measure import Whiteness
from .scale import scale_at
from .words import FRACTIONS

_FRACTIONS = {typed: fraction for fraction in FRACTIONS for typed in (fraction.name, fraction.glyph)}
_SAID = re.compile(r"\s*(\S+?)\s*(?:of\s+)?(cto|ctb|(?:plus |minus )?green|magenta)\s*", re.IGNORECASE)
_ALLOWED = "steps, such as 3, or a fraction of a gel, such as 1/8 CTO or 1/4 green"


def steps_of(text: str, white: Whiteness) -> str | float:
    """Return how many steps a fraction of a gel is at `white`; other text as it is, for the model to read.

    Raises Refused for a gel whose fraction is none.
    """
    said = _SAID.fullmatch(text)
    if said is None:
        return text
    fraction = _FRACTIONS.get(said[1].lower())
    if fraction is None:
        raise Refused.one("tolerance_steps", f"{text.strip()!r} is no fraction that gels come in", _ALLOWED)
    scale = scale_at(white)
    if said[2].lower() in ("cto", "ctb"):
        return round(fraction.cto * scale.steps_per_mired, 1)
    return round(fraction.green * scale.steps_per_duv, 1)
