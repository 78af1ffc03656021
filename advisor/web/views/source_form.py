"""The form of a source: what it offers, what is ticked, which parts of it stand open."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from ...model import Gel, Problem
from ...store import StoredSource
from ..forms.form import Form
from ..wording.values import gel as gel_words
from .choices import OfferedChoice, ticks
from .layers import LayersView, layers_hung

_FIELDS = (
    *("name", "kind", "cct", "duv", "x", "y", "lux", "note", "level", "modifier", "dial_cct", "dial_green"),
    *("role", "over_key", "tolerance_steps", "max_layers", "no_gel", "watts"),
    *("reach_cct_from", "reach_cct_to", "reach_cct_step"),
    *("reach_green_from", "reach_green_to", "reach_green_step"),
)


@dataclass(frozen=True)
class SourceFormView:
    """The form of a source that is added or changed.

    `elsewhere` is what is wrong beside none of its fields. `read_behind` are the layers that may hang on a
    new source, None where that is not asked. `only_gels` and `keep` are what can be ticked, with what is
    ticked and has left the gel table; `keep` is empty where there is nothing to offer. The
    rest says what is open.
    """

    title: str
    elsewhere: tuple[Problem, ...]
    read_behind: LayersView | None
    only_gels: tuple[OfferedChoice, ...]
    keep: tuple[OfferedChoice, ...]
    shot_open: bool
    limits_open: bool
    keep_open: bool


def view_of(
    form: Form, now: StoredSource | None, showed: Mapping[str, Any], gels: Sequence[Gel]
) -> SourceFormView:
    """Return the form of a source, a new one where `now` is None, as it `showed` itself at first."""
    every = {gel.name: gel_words(gel.name) for gel in gels}
    coloured = {gel.name: every[gel.name] for gel in gels if not gel.neutral}
    return SourceFormView(
        title=f"Change {now.source.name}" if now else "Add a source",
        elsewhere=tuple(form.elsewhere(_FIELDS)),
        read_behind=layers_hung(form.chosen("read_behind"), gels) if gels and now is None else None,
        only_gels=ticks(form, "only_gels", showed, coloured),
        keep=ticks(form, "keep", showed, every) if gels or showed.get("keep") else (),
        shot_open=form.touched(["on_subject", "over_key", "tolerance_steps", "watts"]),
        limits_open=form.touched(["no_gel", "max_layers"]) or bool(form.value("only_cut")),
        keep_open=bool(form.chosen("keep")),
    )
