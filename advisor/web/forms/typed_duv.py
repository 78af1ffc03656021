"""A Duv as a person types it: 0.0085, or 85 for its four places, as meters print them.

A whole number of one digit, such as 4, is as likely 0.004 as 0.0004: nobody guesses, it is refused.
"""

import re

from ...model.basis.quantities import MINUS

PATTERN = rf"[+\-–{MINUS}]?(?:0[0-4]\d\d|0500|[1-9]\d|[1-4]\d\d|500)"
"""What is read as the four places of a Duv, −0.05 to 0.05: two or three digits, or four with their zeros.
Pages have the same pattern, to say what a field is read as while it is typed."""
_PLACES = re.compile(PATTERN, re.ASCII)


def places_read(typed: str) -> str:
    """Write out a Duv that was typed as its places: “85” is “0.0085”; empty where it was not."""
    text = typed.strip()
    if not _PLACES.fullmatch(text):
        return ""
    minus = MINUS if text[0] in f"-–{MINUS}" else ""
    return f"{minus}0.{text.lstrip(f'+-–{MINUS}'):0>4}"


def written_out(typed: str) -> str:
    """Return a Duv as the model reads it; what was not typed as its places stays as it is."""
    return places_read(typed) or typed
