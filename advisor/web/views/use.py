"""How one head is used: its dim level and its modifier, as fields and in words."""

from dataclasses import dataclass

from ...model import Source
from ..forms.form import Form
from ..wording.sources import used
from ..wording.values import capitalize_first, plain

_AS_READ = "as-read"


@dataclass(frozen=True)
class UseView:
    """The level as its field shows it, the modifiers to choose from, the one that is chosen, and the words.

    `modifiers` are values and words; there are none where a source was never read with any.
    `modifier` is empty where it is used with that of its newest bare reading.
    """

    level: str
    modifiers: tuple[tuple[str, str], ...]
    modifier: str
    words: str


def use_view(form: Form, source: Source) -> UseView:
    """Return how a source is used, with what was typed in `form`."""
    names = sorted({reading.modifier for reading in source.bare_readings})
    offered = len(names) > 1 or source.modifier is not None
    kept = "" if source.modifier is None else f"with:{source.modifier}"
    pairs = [(_AS_READ, "as in the newest bare reading"), *((f"with:{n}", n or "none") for n in names)]
    return UseView(
        level=form.value("use_level") or plain(source.level),
        modifiers=tuple(pairs) if offered else (),
        modifier=form.value("use_modifier").removeprefix(_AS_READ) or kept,
        words=f"{capitalize_first(used(source))}.",
    )
