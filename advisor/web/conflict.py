"""What two people wanted of one thing, side by side, for the second one to choose."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from ..model.fields import field_label
from .forms import Form


@dataclass(frozen=True)
class Difference:
    """What is wanted of one thing: how it is now, and how the second writer wanted it, in words."""

    what: str
    theirs: str
    mine: str


def disagreements(form: Form, theirs: Mapping[str, Any]) -> list[Difference]:
    """Return where what was typed in `form` differs from the fields as they would now be shown."""
    found = []
    for name, now in theirs.items():
        mine = ", ".join(form.chosen(name)) if isinstance(now, list) else form.value(name).strip()
        stands = ", ".join(now) if isinstance(now, list) else str(now)
        if mine != stands:
            found.append(Difference(field_label(name), stands or "empty", mine or "empty"))
    return found
