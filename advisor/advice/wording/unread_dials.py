"""That an adjustable head is to be set where nobody read its dials: what it gives there is worked out."""

from collections.abc import Callable, Iterable, Sequence

from ...colour.observer.loci import MIRED_K
from ...model import Setting
from ...model.basis.quantities import tidy
from ...model.sets.phrases import signed

_AS_READ = 10.0
"""A CCT on the dial this near to one that was read gives what was read there. [MK⁻¹] Our judgement."""


def beyond_read(setting: Setting, read: Iterable[Setting]) -> str:
    """Say beyond which of the settings that were `read` one lies; empty where it lies among them.

    What the head gives there is worked out, and nobody has seen it.
    """
    read = list(read)
    if not read:
        return ""
    ccts, greens = [one.cct for one in read], [one.green for one in read]
    parts = []
    nearest = min(max(setting.cct, min(ccts)), max(ccts))
    if abs(MIRED_K / setting.cct - MIRED_K / nearest) > _AS_READ:
        parts.append(f"Its dials were read {_span(ccts, tidy)} K")
    if not min(greens) <= setting.green <= max(greens):
        parts.append(f"{'green' if parts else 'Its green dial was read'} {_span(greens, signed)}")
    return f"{' and '.join(parts)} only." if parts else ""


def _span(values: Sequence[float], said: Callable[[float], str]) -> str:
    low, high = said(min(values)), said(max(values))
    return f"at {low}" if low == high else f"from {low} to {high}"
