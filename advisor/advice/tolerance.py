"""A tolerance as a crew says it: in steps, or as a fraction of a gel at the white in question."""

import re

from ..model import Refused
from .measure import Whiteness
from .scale import scale_at
from .words import CTO_FRACTIONS, GREEN_FRACTIONS

_NAMES = ("1/8", "1/4", "1/2", "3/4", "full")
_GLYPHS = {"⅛": "1/8", "¼": "1/4", "½": "1/2", "¾": "3/4"}
_SAID = re.compile(r"\s*(\S+?)\s*(?:of\s+)?(cto|ctb|(?:plus |minus )?green|magenta)\s*", re.IGNORECASE)
_ALLOWED = "steps, such as 3, or a fraction of a gel, such as 1/8 CTO or 1/4 green"


def steps_of(text: str, white: Whiteness) -> str | float:
    """Return how many steps a fraction of a gel is at `white`; other text as it is, for the model to read.

    Raises Refused for a gel whose fraction is none.
    """
    said = _SAID.fullmatch(text)
    if said is None:
        return text
    name = _GLYPHS.get(said[1], said[1].lower())
    if name not in _NAMES:
        raise Refused.one("tolerance_steps", f"{text.strip()!r} is no fraction that gels come in", _ALLOWED)
    scale, at = scale_at(white), _NAMES.index(name)
    if said[2].lower() in ("cto", "ctb"):
        return round(CTO_FRACTIONS[at] * scale.steps_per_mired, 1)
    return round(GREEN_FRACTIONS[at] * scale.steps_per_duv, 1)
