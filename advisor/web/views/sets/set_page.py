"""The page of a set: what to do about every source, and how it is."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from ....advice.learned.off_label import OffLabel
from ....advice.pictures.light_path import LightPath
from ....advice.plan.head import PlannedSource
from ....advice.plan.plan import Plan
from ....advice.plan.questions import gels_off_label
from ....advice.wording.ladder import Ladder
from ....model.sets.phrases import grouped
from ....store import StoredSet, StoredSource
from ...plans.since import Since
from ...wording.gels import off_label
from ...wording.sources import stood
from ...wording.stacks import surer
from ...wording.tested import tested_said
from ...wording.values import capitalize_first, gel, steps
from ...wording.work import LEFT_OUT, check_first, doing, hung_now, progress, swap
from ..heads import Light, aim_said, light_after, quality_of
from .head_entry import Bare, HeadEntry
from .head_groups import HeadGroup, groups_of


@dataclass(frozen=True)
class PlaneRow:
    """The shift plane in words: where a source stands, and where its stack brings it."""

    number: int
    name: str
    stands: str
    stack: str


@dataclass(frozen=True)
class GelOffLabel:
    """Gels that do not do what their labels say: `names` are theirs, and in words for a button."""

    names: tuple[tuple[str, str], ...]
    words: str


@dataclass(frozen=True)
class SetPage:
    """A set's sources, how far it has come, its plane in words, and the gels that are off their labels.

    `tested` says that some of its sources are heads that were tested.
    """

    progress: str
    groups: tuple[HeadGroup, ...]
    plane_rows: tuple[PlaneRow, ...]
    off_labels: tuple[GelOffLabel, ...]
    tested: bool


def _off_label(off: OffLabel) -> GelOffLabel:
    return GelOffLabel(tuple((name, gel(name)) for name in off.names), off_label(off))


def view_of(
    now: StoredSet, plan: Plan, paths: Sequence[LightPath | None], since: Mapping[int, Since]
) -> SetPage:
    """Return the page of a set as planned, with the light path of each head.

    `since` says, by the source's id, why what was decided is not what is advised.
    """
    heads = list(zip(now.sources, plan.heads, strict=True))
    entries = [
        _entry(stored, head, path, since.get(stored.id), surer(plan, i), plan.ladder)
        for i, ((stored, head), path) in enumerate(zip(heads, paths, strict=True))
    ]
    return SetPage(
        progress=progress(plan.heads),
        groups=groups_of(entries, plan.heads) if entries else (),
        plane_rows=tuple(_plane_row(stored, head) for stored, head in heads),
        off_labels=tuple(_off_label(one) for one in gels_off_label(plan)),
        tested=any(stored.source.test for stored in now.sources),
    )


def _entry(
    stored: StoredSource,
    head: PlannedSource,
    path: LightPath | None,
    why: Since | None,
    kind: str,
    ladder: Ladder,
) -> HeadEntry:
    tested = tested_said(stored.source, ladder)
    return HeadEntry(
        id=stored.id,
        number=stored.number,
        name=stored.source.name,
        what=doing(head),
        if_right=_if_right(head),
        meanwhile=_meanwhile(head),
        why=why,
        path=path,
        good=quality_of(head) if head.answered else None,
        surer=kind,
        after=light_after(head) if head.check or head.answered else None,
        bare=_bare(stored, head, ladder),
        notes=(*([tested] if tested else []), *head.notes),
        problems=head.problems,
    )


def _if_right(head: PlannedSource) -> str:
    work = head.source.work
    if work and head.check and head.check.gel_doubted:
        return f"{hung_now(work)}. {LEFT_OUT}"
    odd = head.check is not None and check_first(head.check) != ""
    if not odd or work is None or not (head.swap and head.swap.some):
        return ""
    change = swap(head.swap)
    return f"{hung_now(work)}. If that is right: {change[0].lower()}{change[1:]}."


def _meanwhile(head: PlannedSource) -> str:
    work = head.source.work
    changes = head.hangs and head.swap is not None and head.swap.some
    return f"{hung_now(work)}." if work and changes else ""


def _bare(stored: StoredSource, head: PlannedSource, ladder: Ladder) -> Bare | None:
    if head.white is None:
        return None
    return Bare(
        verb="About" if head.worked_out else "Reads",
        white=Light(head.white.cct, head.white.duv),
        conditions=stood(head.source.reading),
        needed=head.advice.needed.words if head.advice else "",
        aim=aim_said(stored.source.aim, ladder, " than the target"),
    )


def _plane_row(stored: StoredSource, head: PlannedSource) -> PlaneRow:
    stands = capitalize_first(head.advice.needed.words) if head.advice else "Not known"
    return PlaneRow(stored.number, stored.source.name, stands, _stack_said(head))


def _stack_said(head: PlannedSource) -> str:
    if head.best is None:
        return "None"
    gels = ", ".join(grouped(gel(name) for name in head.best.gels)) or "Bare"
    if head.check:
        return f"{gels}: {steps(head.check.left)} off, as read, {head.check.words}"
    return f"{gels}: {steps(head.best.miss.steps)} off, {head.best.miss.words}"
