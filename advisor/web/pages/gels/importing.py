"""A gel table is imported: read, looked at, mended, and only then added to the table or put in its place."""

import re
from collections.abc import Mapping

from flask import Blueprint, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue
from pydantic import ValidationError

from ....advice.teaching.possible_rows import all_checked
from ....imports.gels.bundle import choose_table
from ....imports.gels.draft import HEADER, WHERE, GelDraft, draft_gels, missing_in
from ....imports.text.decode import characters, decode
from ....model import GelTable, Problem, Refused, refuse
from ....model.sets.phrases import counted
from ....store import Conflict, StoredTable
from ...forms.files import uploaded_files
from ...gels.changes import TableChange, added_to, replaced_by
from ...gels.curves import answers, ask_about, carried, carry
from ...live.aside import read_apart
from ...live.idempotency import asked_version
from ...pastes.long_texts import given_text
from ...state import state
from ...views.gels.importing import ImportView, draft_view, import_view

blueprint = Blueprint("gel_import", __name__, url_prefix="/gels/import")
_ASKED, _CELL = "q ", "cell "
_PLACE = re.compile(r"(\d{1,4})\.(\d{1,3})", re.ASCII)
_LONGEST_CELL = 500
_SHORT = 4000
"""A text that is no longer, without curves, is read at once. [sign]"""


@blueprint.route("", methods=["GET", "POST"])
def import_table() -> ResponseReturnValue:
    """Read a table, show what it would change, and change it once somebody has seen that.

    It may bring the curves that it names: several files at once, or one .zip of them.
    """
    text, beside = request.form.get("text", ""), dict[str, bytes]()
    if request.method != "POST":
        return _page(import_view(text, state().gels.in_force().version))
    seen: int | None = None
    try:
        seen = asked_version()
        if files := uploaded_files():
            chosen, beside = choose_table(files, text)
            text = decode(chosen, where="the file")
        else:
            text = given_text(request.form)
            beside = carried(request.form["beside"]) if request.form.get("beside") else {}
        mended = {} if files else _mended(request.form)
        draft = _drafted(text, beside, mended)
    except Refused as no:
        return _page(import_view(text, seen, problems=no.problems, beside=sorted(beside))), 422
    now = state().gels.in_force()
    add, replace = added_to(now.table, draft.rows), replaced_by(now.table, draft.rows)
    view = draft_view(draft, add, replace, mended)
    change = {"add": add, "replace": replace}.get(request.form.get("do", ""))
    along = carry(beside) if beside else ""
    if change is None or not draft.gels or request.form.get("looked at") != view.looked_at:
        shown = import_view(text, seen, problems=_lacks(draft), carried=along, draft=view)
        return _page(shown), 422 if draft.to_mend else 200
    try:
        state().gels.replace(_table(change), f"{counted(len(draft.gels), 'gel')} imported", seen)
    except Refused as no:
        return _page(import_view(text, seen, problems=no.problems, carried=along, draft=view)), 422
    except Conflict as other:
        assert isinstance(other.current, StoredTable), "a table's conflict is with a table"
        now = other.current
        return _page(import_view(text, now.version, conflict=now, carried=along, draft=view)), 409
    return redirect(url_for("gels.show_table"))


def _page(view: ImportView) -> str:
    return render_template("gels/import.html", view=view)


def _drafted(text: str, beside: Mapping[str, bytes], mended: Mapping[tuple[int, int], str]) -> GelDraft:
    said = {k.removeprefix(_ASKED): v for k, v in request.form.items() if k.startswith(_ASKED) and v}
    ways = answers(request.form)
    base = state().gels.in_force().table
    asked = text, beside, all_checked, ask_about, ways, said, mended, base
    if len(text) <= _SHORT and not beside:
        draft = draft_gels(*asked)
    else:
        characters(text, where=WHERE)  # what is too much is refused at once
        along = carry(beside) if beside else ""
        told = [text, along, repr((sorted(ways.items()), sorted(said.items()), sorted(mended.items())))]
        fields = {"text": text, "beside": along}
        draft = read_apart(
            [*told, base.model_dump_json()], draft_gels, *asked, what="The table", fields=fields
        )
    if not draft.rows:
        raise Refused.one("file", "the table holds no gel", "a row for each gel")
    return draft


def _mended(form: Mapping[str, str]) -> dict[tuple[int, int], str]:
    """Return the cells that were typed anew, by row and column; a button beside one says the last word."""
    typed = {k.removeprefix(_CELL): v for k, v in form.items() if k.startswith(_CELL)}
    tapped, _, value = form.get("mend", "").removeprefix(_CELL).partition("=")
    if tapped:
        typed[tapped] = value
    found = {}
    for place, text in typed.items():
        at = _PLACE.fullmatch(place)
        if at is not None and (place == tapped or text != form.get(f"was {place}")):
            found[int(at[1]), int(at[2])] = text[:_LONGEST_CELL]
    return found


def _lacks(draft: GelDraft) -> list[Problem]:
    line = draft.layout.head.line
    where = f"line {line}" if line else "file"
    allowed = f"a column for it, as in {HEADER}, or say below what the columns are"
    return [
        Problem(where=where, says=f"the column {lack} is missing", allowed=allowed)
        for lack in missing_in(draft.columns)
        if not draft.gels
    ]


def _table(change: TableChange) -> GelTable:
    try:
        return change.table
    except ValidationError as error:
        raise refuse(error) from None
