"""Which gels are on the truck: asked once, on one screen that can be skipped."""

from flask import Blueprint, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from ...model import Refused
from ...model.series import in_series
from ...store import Conflict, StoredTable
from ..forms import Form
from ..repeat import asked_version
from ..state import TRUCK, state, truck_unasked
from ..truck_form import SERIES, families_of, fields_of, said, table_from, typed_over

blueprint = Blueprint("truck", __name__, url_prefix="/gels/truck")


@blueprint.route("", methods=["GET", "POST"])
def choose_gels() -> ResponseReturnValue:
    """Ask which gels there are, how many sheets, and what is known of them; all is saved at once.

    Skipping it changes no gel, and is remembered: nobody is offered it again.
    """
    now = state().gels.in_force()
    if request.method != "POST":
        return _page(now, fields_of(now.table), now.version)
    if "skip" in request.form:
        state().choices.save(TRUCK, "skipped")
        return redirect(url_for("quick.quick_check"))
    form, seen = typed_over(Form(request.form), now.table), None
    try:
        seen = asked_version()
        table = table_from(form, now.table)
        if table != now.table or (seen is not None and seen != now.version):
            state().gels.replace(table, said(now.table, table), seen)
        state().choices.save(TRUCK, "said")
    except Refused as no:
        return _page(now, form.after(no), seen), 422
    except Conflict as other:
        assert isinstance(other.current, StoredTable), "a table's conflict is with a table"
        form = typed_over(Form(request.form), other.current.table)
        return _page(other.current, form, other.current.version, conflict=True), 409
    return redirect(url_for("gels.show_table"))


def _page(now: StoredTable, form: Form, seen: int | None, *, conflict: bool = False) -> str:
    families = families_of(now.table)
    rows = [row for asked in families.values() for row in asked]
    figures = [f"{name}_{row.number}" for row in rows for name in row.swatch]
    shown = fields_of(now.table)
    beside = [
        *figures,
        *(f"stock_{row.number}" for row in rows),
        *(f"family_{k}" for k in range(len(families))),
    ]
    return render_template(
        "gels/truck.html",
        now=now,
        form=form,
        seen=seen,
        conflict=conflict,
        families=families,
        series=SERIES if any(in_series(row.gel) for row in rows) else {},
        # What was typed from the book, or is wrong about it, is never folded away.
        book=form.value("book")
        or any(form.wrong(name) or form.value(name) != shown.value(name) for name in figures),
        beside=[*beside, "series"],
        first=truck_unasked(),
    )
