"""Export heads as a file or a table, and import such a file: what it would change is shown first."""

from flask import Blueprint, Response, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from ....imports.head_file import heads_text_of, read_heads
from ....model import Refused
from ....model.basis.base import name_key
from ....model.sets.head_file import HeadFile
from ...forms.files import download, file_name, uploaded_file
from ...live.aside import read_apart
from ...pastes.long_texts import given_text
from ...state import state
from ...views.known_heads.merging import empty_page, merge_page, seen_of
from .heads_csv import heads_csv

blueprint = Blueprint("head_exchange", __name__)
_SHORT = 100_000
"""A file of at most so many signs is read at once, a longer one aside. [sign]"""


@blueprint.get("/heads/export.json")
def export_heads() -> Response:
    """Download heads with their tests: one, ``?head=``, a group, ``?group=``, or all."""
    file, name = _asked()
    return download(file.to_json(), "application/json", f"{name}.json")


@blueprint.get("/heads/export.csv")
def export_table() -> Response:
    """Download the same as a table."""
    file, name = _asked()
    return download("\ufeff" + heads_csv(file.heads), "text/csv", f"{name}.csv")


@blueprint.route("/heads/import", methods=["GET", "POST"])
def import_heads() -> ResponseReturnValue:
    """Read a file of heads, show what it would change, and change it once somebody has seen that."""
    text, looked_at = request.form.get("text", ""), request.form.get("looked at", "")
    if request.method != "POST":
        return render_template("known_heads/import.html", view=empty_page(), problems=())
    try:
        if (data := uploaded_file()) is not None:
            text, looked_at = heads_text_of(data), ""
        else:
            text = given_text(request.form)
        heads = _read(text).heads
        exchange = state().heads.exchange
        now = exchange.preview(heads)
        if looked_at and looked_at == seen_of(now):
            # Where somebody changes a head in between, nothing is written, and the page shows what is now.
            then = exchange.merge(heads, now)
            if then == now:
                return redirect(url_for("known_heads.list_heads", brought=sum(one.changes for one in now)))
            now = then
    except Refused as no:
        view = empty_page(text, no.problems)
        return render_template("known_heads/import.html", view=view, problems=no.problems), 422
    return render_template("known_heads/import.html", view=merge_page(text, now, looked_at), problems=())


def _read(text: str) -> HeadFile:
    """Read a file; one that is long is read aside. Raises Refused, and Working while it is read."""
    if len(text) <= _SHORT:
        return read_heads(text)
    return read_apart([text], read_heads, text, what="The file", fields={"text": text})


def _asked() -> tuple[HeadFile, str]:
    """Return the heads that are asked for, and a name for their file; raises NotFound and Refused."""
    kept = [one.stored for one in state().heads.list_heads()]
    head_id, group = request.args.get("head"), request.args.get("group")
    if head_id is not None:
        file = state().heads.exchange.export([int(head_id) if head_id.isdecimal() else 0])
        return file, file_name("head", file.heads[0].head.name)
    if group is not None:
        kept = [one for one in kept if name_key(one.head.group) == name_key(group)]
        if not kept:
            raise Refused.one(
                "group", f"no head is in a group {group[:40]!r}", "a group of the list of heads"
            )
    return state().heads.exchange.export([one.id for one in kept]), file_name("heads", group or "")
