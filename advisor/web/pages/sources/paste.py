"""Paste or upload readings: what was understood is shown, row by row, before anything is saved."""

from collections.abc import Sequence

from flask import Blueprint, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from ....imports import TEMPLATE
from ....imports.text.decode import characters, decode
from ....model import Problem, Refused
from ....model.sets.lightset import MAX_SOURCES
from ....store import Conflict, StoredSet
from ....store.sets.sets import SetStore
from ....store.tables.records import StoredSource
from ...forms.files import download, uploaded_file, uploaded_name
from ...live.idempotency import nothing_written
from ...pastes.asks import BehindQuestion, behind_question, read_as_set, read_behind, say_behind, works_after
from ...pastes.entries import Entry, chosen_of, entries_of, in_order_of_text
from ...pastes.looks import remember
from ...pastes.posted import PostedPaste, posted_paste
from ...plans.behind import at_said_level
from ...plans.new_reading import moved_before
from ...state import state
from ...views.paste import PasteView, added_said, nothing_pasted, preview_of, refused_view

blueprint = Blueprint("paste", __name__)


@blueprint.route("/sets/<int:set_id>/paste", methods=["GET", "POST"])
def paste_readings(set_id: int) -> ResponseReturnValue:
    """Read a text and show what was understood; with ``save``, add the rows that are ticked.

    After readings went to sources of the set, the address says to which (``to``), how many (``readings``),
    how many sources are new (``added``), and whether some were taken ``behind`` what hangs.
    """
    sets = state().sets
    owner = sets.get_set(set_id)
    if request.method != "POST":
        to = set(request.args.getlist("to", type=int))
        done = [stored for stored in owner.sources if stored.id in to]
        readings, added = (request.args.get(name, 0, type=int) for name in ("readings", "added"))
        return _page(owner, nothing_pasted(added_said(done, readings, added), done, "behind" in request.args))
    try:
        posted = posted_paste(request.form, _uploaded(), uploaded_name() if request.files else "")
    except Refused as no:
        nothing_written()
        return _page(owner, refused_view(request.form.get("text", ""), no.problems)), 422
    if posted.now.refused:
        nothing_written()
        return _page(owner, refused_view(posted.now.text, posted.now.refused, posted)), 422
    entries = _entries(owner, posted)
    if "save" in request.form:
        return _save(sets, owner, posted, entries)
    nothing_written()
    shown = _page(owner, preview_of(posted, entries, _behind(owner, entries), len(owner.sources)))
    return shown, 422 if posted.problems else 200


def _page(owner: StoredSet, view: PasteView) -> str:
    return render_template("paste/page.html", owner=owner, view=view, most=MAX_SOURCES)


def _uploaded() -> str | None:
    """Return the text of an uploaded file; None where there is none. Raises Refused."""
    data = uploaded_file()
    if data is None:
        return None
    text = characters(data, where="the file")
    # Of XML only the open format of spectra is read; `decode` says so of any other.
    return text if "IESTM2714" in text[:2000] else decode(text, where="the file")


def _entries(owner: StoredSet, posted: PostedPaste) -> list[Entry]:
    """Return what the rows that are not saved yet make of the set."""
    return entries_of(posted.now, posted.before, posted.chosen, owner.sources, request.form)


def _behind(owner: StoredSet, entries: Sequence[Entry]) -> BehindQuestion | None:
    return behind_question(owner, entries, request.form)


def _save(
    sets: SetStore, owner: StoredSet, posted: PostedPaste, entries: Sequence[Entry]
) -> ResponseReturnValue:
    """Add what is ticked; what was not understood stays on the page, to be mended."""
    asked = _behind(owner, entries)

    def refused(problems: Sequence[Problem]) -> ResponseReturnValue:
        view = preview_of(posted, entries, asked, len(owner.sources), problems)
        return _page(owner, view), 422

    try:
        if posted.problems:
            return refused(posted.problems)
        new, further = chosen_of(entries)
        known = {stored.id: stored.source for stored in owner.sources}
        further = {k: [at_said_level(r, known[k]) for r in readings] for k, readings in further.items()}
        hung = read_behind(asked, further)
        moves = [moved_before(sets, now, further[now.id]) for now in owner.sources if now.id in further]
        if any(moves):
            moved = sets.get_set(owner.id)
            return _save(sets, moved, posted, _entries(moved, posted))
        works = works_after([*hung, *read_as_set(owner.sources, further)], further)
        sets.add_sources(owner.id, new, further, works, in_order_of_text(entries))
    except Refused as no:
        return refused(no.problems)
    except Conflict as other:  # between the lines
        assert isinstance(other.current, StoredSource), "a source's conflict is with a source"
        says = f"What hangs on {other.current.source.name} changed meanwhile, so nothing is saved yet"
        asked = _behind(sets.get_set(owner.id), entries)
        return refused([say_behind(says)])
    remember(posted.now)
    count = sum(map(len, further.values()))
    if any(row.white is None for row in posted.now.rows):
        done = [stored for stored in owner.sources if stored.id in further]
        saved = sum(len(entry.used) for entry in entries)
        did = added_said(done, count, len(new))
        return _page(owner, preview_of(posted.with_saved(), (), None, 0).after(saved, did, done, bool(hung)))
    if not further:
        return redirect(url_for("sets.show_set", set_id=owner.id, added=len(new)))
    return redirect(
        url_for(
            ".paste_readings",
            set_id=owner.id,
            to=list(further),
            readings=count,
            added=len(new),
            behind="yes" if hung else None,
        )
    )


@blueprint.get("/readings-template.csv")
def template() -> ResponseReturnValue:
    """Download our own layout, to fill in and paste back."""
    return download(TEMPLATE, "text/csv", "readings-template.csv")
