"""A reading that is wrong, mended: what was typed, or the gel that it was read behind."""

from collections.abc import Collection, Mapping, Sequence

from flask import Blueprint, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from ....model import Reading, Refused, Work
from ....model.basis.problems import short
from ....store import Conflict, StoredSource
from ....store.tables.records import StoredReading, Struck
from ...forms.form import Form
from ...forms.source_form import fields_of_reading, mended_from
from ...forms.taken import clock_time, time_typed
from ...gels.names import in_force, with_gels_named
from ...live.idempotency import tell_revision
from ...plans.mended import (
    behind_burnt,
    behind_sheet,
    exchanged,
    planned,
    with_new_sheets,
    work_behind,
    work_mended,
)
from ...plans.onward.order import sheets_of_layer
from ...state import gels_in_force, state
from ...views.odd_reading import NOT_UP
from ...views.readings import mended_reading_view
from ...wording.values import gel
from .head_page import present, source_page
from .undo import RECORDS, record_of

blueprint = Blueprint("mend", __name__)


@blueprint.route("/readings/<int:reading_id>/mend", methods=["GET", "POST"])
def mend_reading(reading_id: int) -> ResponseReturnValue:
    """Show a reading in its form, to mend it; what is not sent stays as it was.

    The wrong one is struck out. Where somebody was before, their reading is shown beside what was typed.
    """
    now = present(state().sets.reading_source(reading_id))
    readings = {kept.id: kept for kept in state().sets.readings_of(now.id)}
    kept, was = _in_place_of(readings, reading_id), readings[reading_id].reading
    if request.method != "POST":
        if kept.struck:
            return redirect(_head(now) + "#readings")
        return _page(now, kept, Form(_shown(kept, kept.reading)))
    shown_at = readings[reading_id].taken_at
    form = Form({**_shown(readings[reading_id], was), **_sent()})
    try:
        wanted = mended_from(form, was)
        _refuse_unknown(set(wanted.gels) - set(was.gels))
        if looked := kept.reading.gels_checked and kept.reading.gels == wanted.gels:
            wanted = wanted.model_copy(update={"gels_checked": True})
            was = was.model_copy(update={"gels_checked": looked})
        at = time_typed(form, shown_at)
        if wanted == kept.reading and at is None and kept.struck is None:
            return redirect(_back(now))  # somebody mended it so already
        if kept.struck or (kept.reading != was and form.value("over") != str(kept.id)):
            return _page(now, kept, form, _first(readings, kept)), 409
        _mend(now, list(readings.values()), {kept.id: wanted}, taken={kept.id: at} if at else {})
    except Refused as no:
        return _page(now, kept, form.after(no)), 422
    except Conflict:  # somebody wrote between the lines
        return mend_reading(reading_id)
    return redirect(_back(now))


@blueprint.route("/sources/<int:source_id>/gel", methods=["GET", "POST"])
def correct_gel(source_id: int) -> ResponseReturnValue:
    """Say that another gel hung than was said: what was read behind it is filed behind that.

    Where `of` and `instead` are the same, somebody looked, and it is the one that was said. Where `instead`
    is NOT_UP, it does not hang at all.
    """
    if request.method != "POST":  # a page on which that was refused, opened again by its address
        return redirect(url_for("sources.show_source", source_id=source_id))
    form = with_gels_named(Form(request.form))
    of, chosen = form.value("of"), form.value("instead")
    instead = "" if chosen == NOT_UP else chosen
    while True:
        now = present(source_id)
        work = now.source.work
        hangs = work.gels if work and now.hangs else []
        said = form.value("hung").split("; ") if form.value("hung") else hangs
        try:
            if not chosen:
                raise Refused.one("gel", "nothing was chosen", "the gel that really hung")
            _refuse_unknown([instead] if instead else [])
            if of != instead and of in said and hangs == exchanged(said, of, instead):
                return redirect(_head(now))  # somebody said so already
            if of not in hangs or said != hangs:
                raise _hangs_otherwise(hangs)
            readings = state().sets.readings_of(now.id)
            mended = {
                kept.id: kept.reading.model_copy(update={"gels": hung, "gels_checked": bool(hung)})
                for kept in behind_sheet(now, readings, of)
                for hung in [exchanged(kept.reading.gels, of, instead)]
            }
            if not mended:
                raise Refused.one("gel", "nothing was read behind it yet", "say what hangs instead")
            _mend(now, readings, mended, None if of == instead else exchanged(hangs, of, instead))
        except Refused as no:
            return source_page(now, form.after(no)), 422
        except Conflict:
            continue
        return redirect(_head(now))


@blueprint.route("/sources/<int:source_id>/sheets", methods=["GET", "POST"])
def new_sheets(source_id: int) -> ResponseReturnValue:
    """Say that the sheets on a source burnt or faded, and that new ones of the same hang in their place.

    What was read behind them since they did stays on the record, and counts for nothing. With `lost`, the
    gel of one layer burnt or tore: as many sheets as that takes are off the truck's count.
    """
    if request.method != "POST":  # a page on which that was refused, opened again by its address
        return redirect(url_for("sources.show_source", source_id=source_id))
    form = Form(request.form)
    while True:
        now = present(source_id)
        work, readings = now.source.work, state().sets.readings_of(now.id)
        hangs, lost = work.gels if work and now.hangs else [], form.value("lost")
        if work is None or form.value("hung") != "; ".join(hangs) or (lost and lost not in hangs):
            return source_page(now, form.after(_hangs_otherwise(hangs))), 422
        burnt = behind_burnt(now, readings)
        if not (burnt or lost):  # somebody said so already, or a bare reading told since that it was the lamp
            return redirect(_head(now))
        mended = {kept.id: kept.reading.model_copy(update={"gel_burnt": True}) for kept in burnt}
        try:
            fresh = with_new_sheets(work)
            if mended:
                _write(now, mended, fresh)
            elif work.read_behind or work.read_elsewhere:  # what nobody read yet hangs as it did
                kept = state().sets.change_source(now.id, {"work": fresh}, revision=now.revision)
                tell_revision(now.revision, now.revision, kept.revision)
        except Conflict:  # somebody wrote between the lines
            continue
        except Refused as no:
            return source_page(now, form.after(no)), 422
        if not lost:
            return redirect(_head(now))
        owner = state().sets.get_set(now.set_id)
        sheets = sheets_of_layer(owner, owner.index_of(now.id), lost)
        state().gels.lose(lost, sheets, f"{lost}: {sheets} burnt or torn")
        return redirect(url_for("sources.show_source", source_id=now.id, lost=lost))


@blueprint.route("/sources/<int:source_id>/was-on", methods=["GET", "POST"])
def gel_was_on(source_id: int) -> ResponseReturnValue:
    """Say that the bare `reading` that counts was taken behind the gel that it reads like, and so that hangs.

    With `behind` at bare, somebody looked: it was bare, and the page asks no more.
    """
    if request.method != "POST":  # a page on which that was refused, opened again by its address
        return redirect(url_for("sources.show_source", source_id=source_id))
    form = Form(request.form)
    while True:
        now = present(source_id)
        readings = state().sets.readings_of(now.id)
        head = planned(now)
        stack = head.gel_on
        bare = [kept for kept in readings if not (kept.struck or kept.reading.gels)]
        if stack is None or not bare or form.value("reading") != str(bare[-1].id):
            return redirect(_head(now))  # somebody said so already, or read it again
        read, on = bare[-1].reading, form.value("behind") != "bare"
        tags: dict[str, object] = {"gels": list(stack.gels)} if on else {"gels_checked": True}
        mended = {bare[-1].id: read.model_copy(update=tags)}
        work = work_behind(now, head, readings, mended) if on else None
        try:
            _write(now, mended, work)
        except Conflict:  # somebody wrote between the lines
            continue
        except Refused as no:
            return source_page(now, form.after(no)), 422
        return redirect(_head(now))


def _in_place_of(readings: Mapping[int, StoredReading], reading_id: int) -> StoredReading:
    """Return the reading that stands in the place of one, which may be itself, struck out or not."""
    kept = readings[reading_id]
    while kept.struck and kept.struck.by is not None:
        kept = readings[kept.struck.by]
    return kept


def _first(readings: Mapping[int, StoredReading], kept: StoredReading) -> Struck | None:
    """Return who struck a reading out, or mended another one so."""
    mends = (r.struck for r in readings.values() if r.struck and r.struck.by == kept.id)
    return kept.struck or next(mends, None)


def _mend(
    now: StoredSource,
    readings: Sequence[StoredReading],
    mended: Mapping[int, Reading],
    gels: Sequence[str] | None = None,
    *,
    taken: Mapping[int, str] | None = None,
) -> None:
    said = {kept.id: kept.reading for kept in readings}
    # A reading of which only the time was wrong is of the work as it was.
    fixed = any(said[number] != reading for number, reading in mended.items())
    work = work_mended(now, readings, mended, gels) if fixed or gels is not None else None
    _write(now, mended, work, taken)


def _write(
    now: StoredSource,
    mended: Mapping[int, Reading],
    work: Work | None,
    taken: Mapping[int, str] | None = None,
) -> None:
    """Write what was mended, and the `work` that follows from it, if any. Raises Conflict and Refused."""
    kept = state().sets.mend(now.id, mended, work, now.source.work, taken)
    tell_revision(now.revision, now.revision, kept.revision)


def _hangs_otherwise(hangs: Sequence[str]) -> Refused:
    up = " and ".join(gel(name) for name in hangs) or "nothing"
    return Refused.one("gel", f"{up} hangs on it now", "look at it again, and say what hangs")


def _shown(kept: StoredReading, reading: Reading) -> dict[str, str | list[str]]:
    """Return the fields of the form as they show a `reading`, with the time at which `kept` was taken."""
    time = clock_time(kept.taken_at)
    return {**fields_of_reading(reading), "read_behind": reading.gels, "time": time}


def _sent() -> dict[str, str | list[str]]:
    """Return what was sent of a reading; the layers are there where their form was."""
    sent: dict[str, str | list[str]] = dict(request.form.items())
    if sent.get("layers"):
        sent["read_behind"] = in_force(request.form.getlist("read_behind"))
    return sent


def _refuse_unknown(names: Collection[str]) -> None:
    known = {gel.name for gel in gels_in_force()}
    for name in names:
        if name not in known:
            raise Refused.one("read_behind", f"no gel is called {short(name)}", "a gel of the table, or none")


def _page(now: StoredSource, kept: StoredReading, form: Form, first: Struck | None = None) -> str:
    return render_template(
        "sources/mend.html",
        now=now,
        owner=state().sets.get_set(now.set_id),
        form=form,
        view=mended_reading_view(form, kept, gels_in_force(), first),
        back=_back(now),
    )


def _head(now: StoredSource) -> str:
    return url_for("sources.show_source", source_id=now.id)


def _back(now: StoredSource) -> str:
    """Return where a mend leads: to the head, or to its set's record where it was asked for there."""
    if (said := request.values.get("from", "")) in RECORDS:
        return record_of(now.set_id, now.id, said)
    return _head(now)
