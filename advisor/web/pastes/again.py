"""A form that is sent once more, when what it needs has been read aside."""

from flask import request

from ..access.sessions import person
from ..live.aside import STOP, Working
from .long_texts import KEPT, keep_text

_ANEW = ("token", "text", KEPT, STOP)
"""Fields that are given anew, or left out: a text stays on the laptop meanwhile, as it came."""


def sent_again(working: Working) -> list[tuple[str, str]] | None:
    """Return the fields of the form that came, to be sent again; None where a page was asked for."""
    if request.method != "POST" or not person().joined:
        return None
    came = [(name, text) for name, text in request.form.items(multi=True) if name not in _ANEW]
    fields = [(name, text) for name, text in came if name not in working.fields]
    for name, text in working.fields.items():
        fields.append((KEPT, keep_text(text)) if name == "text" else (name, text))
    return fields
