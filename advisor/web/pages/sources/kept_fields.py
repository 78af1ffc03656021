"""A tap that sets fields of a head: kept as it is wanted, or asked about where two did not say the same."""

from collections.abc import Callable, Sequence

from flask import redirect, url_for
from flask.typing import ResponseReturnValue

from ....model import Refused, Source, Stage, Work
from ....store import Conflict, StoredSource
from ...forms.form import Form
from ...live.conflict import Difference, seen_of
from ...live.idempotency import conflict_status, tell_revision
from ...state import state
from .head_page import source_page


def kept(
    now: StoredSource,
    wanted: Source,
    fields: Sequence[str],
    form: Form,
    what: str,
    say: Callable[[Source], str],
) -> ResponseReturnValue:
    """Keep some `fields` of a source as wanted, unless somebody changed those since the page was shown.

    `what` is changed, and `say` puts it into words, for a person who has to choose.
    """
    try:
        seen, changes = seen_of(now), {field: getattr(wanted, field) for field in fields}
        stored = state().sets.change_source(now.id, changes, revision=seen)
        tell_revision(seen, now.revision, stored.revision)
    except Refused as no:
        return source_page(now, form.after(no)), 422
    except Conflict as other:
        assert isinstance(other.current, StoredSource), "a source's conflict is with a source"
        if _alike(other.current.source, wanted, fields):  # both did the same: there is nothing to choose
            return redirect(url_for("sources.show_source", source_id=now.id))
        both = Difference(what, say(other.current.source), say(wanted), other.by)
        return source_page(other.current, form, [both]), conflict_status()
    return redirect(url_for("sources.show_source", source_id=now.id))


def _alike(one: Source, other: Source, fields: Sequence[str]) -> bool:
    """Whether one has what the other wants of some fields: of the work what hangs, not what was predicted.

    Who says that a stack hangs says nothing against another one, who metered the same since.
    """
    has, wants = one.work, other.work
    hung = has and wants and wants.stage is Stage.HUNG and has.hangs
    if has and wants and hung and list(fields) == ["work"] and not (has.instead or wants.instead):
        return (has.gels, has.dial) == (wants.gels, wants.dial)

    def said(source: Source) -> list[object]:
        return [_decided(source.work) if field == "work" else getattr(source, field) for field in fields]

    return said(one) == said(other)


def _decided(work: Work | None) -> object:
    return work and (work.stage, work.gels, work.dial, _decided(work.instead))
