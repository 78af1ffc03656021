"""Which gels are on the truck: asked once, on one screen that can be skipped."""

from collections.abc import Sequence

from flask import Blueprint, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from ....model import Refused
from ....store import Conflict, StoredTable
from ...forms.form import Form
from ...forms.merge import Contest, Merged
from ...forms.truck_form import (
    fields_of,
    gel_of,
    merged_over,
    said,
    said_of,
    table_from,
    typed_over,
)
from ...gels.versions import changed_by, table_at
from ...live.idempotency import asked_version
from ...state import TRUCK, state, truck_unasked
from ...views.gels.truck import view_of

blueprint = Blueprint("truck", __name__, url_prefix="/gels/truck")


@blueprint.route("", methods=["GET", "POST"])
def choose_gels() -> ResponseReturnValue:
    """Ask which gels there are, how many sheets, and what is known of them; all is saved at once.

    Skipping it changes no gel, and is remembered: nobody is offered it again.
    """
    now = state().gels.in_force()
    if request.method != "POST":
        return _page(now, fields_of(now.table))
    if "skip" in request.form:
        state().choices.save(TRUCK, "skipped")
        return redirect(url_for("quick.quick_check"))
    form, seen = typed_over(Form(request.form), now.table), None
    try:
        seen = asked_version()
        if seen is not None:
            merged = merged_over(Form(request.form), table_at(seen).table, now.table)
            form = merged.form
            if merged.contests:
                return _page(now, form, contests=_named(merged, seen, now)), 409
        table = table_from(form, now.table)
        if table != now.table:
            state().gels.replace(table, said(now.table, table), now.version)
        state().choices.save(TRUCK, "said")
    except Refused as no:
        return _page(now, form.after(no)), 422
    except Conflict:  # somebody wrote between the lines: that is merged too
        return choose_gels()
    return redirect(url_for("gels.show_table"))


def _named(merged: Merged, seen: int, now: StoredTable) -> Sequence[Contest]:
    """Return what is contested, with who changed it since the form was opened."""

    def by(unit: str) -> tuple[str, str]:
        gel = gel_of(unit, now.table)
        return changed_by(seen, lambda table: said_of(unit, gel, table))

    return merged.by(by).contests


def _page(now: StoredTable, form: Form, contests: Sequence[Contest] = ()) -> str:
    view = view_of(now, form, first=truck_unasked())
    return render_template("gels/truck.html", view=view, form=form, contests=contests)
