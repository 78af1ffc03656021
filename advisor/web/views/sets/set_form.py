"""The form of a set: what it offers, what is ticked, which parts of it stand open."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from ....advice.wording.ladder import ladder_of
from ....model import Gel, Problem, Source
from ....store import StoredSet
from ...forms.form import Form
from ...wording.values import gel as gel_words
from ...wording.values import tenth
from ..choices import OfferedChoice, ticks

_FIELDS = (
    *("name", "note", "target_cct", "target_source", "target_locus", "target_duv_offset", "target_tint"),
    *("tolerance_steps", "max_layers", "max_stops", "meter_cct_percent", "meter_duv"),
)


@dataclass(frozen=True)
class SetFormView:
    """The form of a set, or of a new one.

    `elsewhere` is what is wrong beside none of its fields; `sources` are those that its target may match.
    `eighth` is an eighth of plus green, in CC. `families` and `gels` can be ticked, with what is ticked and
    has left the gel table. The rest says what is open.
    """

    title: str
    heading: str
    elsewhere: tuple[Problem, ...]
    sources: tuple[Source, ...]
    eighth: str
    families: tuple[OfferedChoice, ...]
    gels: tuple[OfferedChoice, ...]
    limits_open: bool
    families_open: bool
    cut_open: bool


def view_of(form: Form, now: StoredSet | None, showed: Mapping[str, Any], gels: Sequence[Gel]) -> SetFormView:
    """Return the form of a set, a new one where `now` is None, as it `showed` itself at first."""
    families = {gel.family: gel.family for gel in gels}
    coloured = {gel.name: gel_words(gel.name) for gel in gels if not gel.neutral}
    return SetFormView(
        title=f"Change {now.name}" if now else "New set",
        heading="Change the set" if now else "New set",
        elsewhere=tuple(form.elsewhere(_FIELDS)),
        sources=tuple(stored.source for stored in now.sources) if now else (),
        eighth=tenth(1000 * ladder_of(gels).plus_green[0]),
        families=ticks(form, "exclude_families", showed, families),
        gels=ticks(form, "only_gels", showed, coloured),
        limits_open=bool(form.problems),
        families_open=bool(form.chosen("exclude_families")),
        cut_open=bool(form.value("only_cut")),
    )
