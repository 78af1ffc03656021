"""The gel table: seen, added to, changed, switched off, imported, exported, put back."""

from collections.abc import Callable, Sequence

from flask import Blueprint, abort, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from ....advice.pictures.swatches import swatches
from ....advice.stacks.gel_arrays import gel_arrays_of, nominal_stops
from ....advice.teaching.possible_rows import checked
from ....imports import write_gels
from ....imports.gels.bundle import pack
from ....model import Gel, GelTable, Known, Refused
from ....model.basis.problems import within
from ....store import Conflict, StoredTable
from ...forms.files import download
from ...forms.form import Form, make
from ...forms.gel_form import UNITS, fields_of_gel, row_from, words_of_field
from ...forms.merge import Contest, Merged, merge
from ...gels.versions import changed_by, table_at
from ...live.idempotency import asked_version
from ...state import state
from ...views.gels import table as table_view
from ...views.gels.edit import gel_form_view
from ...wording.values import gel as gel_words

blueprint = Blueprint("gels", __name__, url_prefix="/gels")
MOST_SHEETS = 9999
"""The largest stock that is counted by taps. [sheets]"""
_LOOKED_AT = 100
"""The newest versions of the table that are looked through for gels removed."""
_MOST_SETS = 50
"""The sets, those changed last, that are looked through for heads on which a gel hangs."""


@blueprint.get("")
def show_table() -> ResponseReturnValue:
    """Show the table in force, a family at a time, and its earlier versions."""
    return _page()


def _page(*, conflict: bool = False, there: tuple[int, str, StoredTable] | None = None) -> str:
    """Return the page.

    `there` tells of a gel that cannot be brought back: the version that left it out, its name, and the table
    that has another one of that name.
    """
    now = state().gels.in_force()
    lost = nominal_stops(gel_arrays_of(tuple(now.table.rows)))
    removed = state().gels.removed(_LOOKED_AT)
    return render_template(
        "gels/table.html",
        view=table_view.view_of(
            now, lost, swatches(tuple(now.table.rows)), state().gels.history(), removed, there
        ),
        conflict=now if conflict else None,
    )


@blueprint.route("/new", methods=["GET", "POST"])
def new_gel() -> ResponseReturnValue:
    """Add a row."""
    now = state().gels.in_force()
    if request.method != "POST":
        return _edit(Form({"on": "yes", "known": Known.SWATCH.value}), now, None)
    return _save(now, None)


@blueprint.route("/edit", methods=["GET", "POST"])
def edit_gel() -> ResponseReturnValue:
    """Change the row that ``?name=`` names."""
    name = request.args.get("name", "")
    now = state().gels.in_force()
    gel = now.table.find(name)
    if gel is None:
        abort(404)
    if request.method != "POST":
        return _edit(Form(fields_of_gel(gel)), now, name)
    return _save(now, name)


@blueprint.post("/remove")
def remove_gel() -> ResponseReturnValue:
    """Remove a row; the page offers to undo it."""
    name = request.form.get("name", "")
    return _change(f"{gel_words(name)} removed", lambda gel: None if gel.name == name else gel)


@blueprint.post("/switch")
def switch_gel() -> ResponseReturnValue:
    """Switch a row on or off."""
    name, on = request.form.get("name", ""), request.form.get("on") == "yes"
    why = f"{gel_words(name)} {'in use again' if on else 'not in use'}"
    return _change(why, lambda gel: gel.model_copy(update={"on": on}) if gel.name == name else gel)


@blueprint.post("/stock")
def count_sheet() -> ResponseReturnValue:
    """Count one sheet of a gel more or less: below none, and from none counted, it is plenty."""
    name, more = request.form.get("name", ""), request.form.get("by") != "-1"
    why = f"one sheet {'more' if more else 'less'} of {gel_words(name)}"
    return _change(why, lambda gel: _stepped(gel, more) if gel.name == name else gel)


def _stepped(gel: Gel, more: bool) -> Gel:
    less = gel.stock - 1 if gel.stock else None
    return gel.model_copy(update={"stock": min((gel.stock or 0) + 1, MOST_SHEETS) if more else less})


@blueprint.get("/gels.csv")
def export_table() -> ResponseReturnValue:
    """Download the table in force: a CSV, or with measured transmittances a .zip of it and their curves."""
    table = state().gels.in_force().table
    if any(gel.transmittance is not None for gel in table.rows):
        return download(pack(table), "application/zip", "gels.zip")
    return download(write_gels(table).encode(), "text/csv", "gels.csv")


@blueprint.route("/back", methods=["GET", "POST"])
def go_back() -> ResponseReturnValue:
    """Put an earlier version back; version 0 is the table as shipped."""
    if request.method != "POST":  # a page on which nothing was put back, opened again by its address
        return redirect(url_for("gels.show_table"))
    version = asked_version()
    if version is None:
        raise Refused.one("version", "it is not said which table to put back", "one of the earlier tables")
    try:
        state().gels.back_to(version, asked_version("seen"))
    except Conflict:
        return _page(conflict=True), 409
    return redirect(url_for("gels.show_table"))


@blueprint.route("/bring-back", methods=["GET", "POST"])
def bring_back() -> ResponseReturnValue:
    """Put one gel that was removed into the table again, beside what was changed since."""
    if request.method != "POST":  # a page on which nothing was brought back, opened again by its address
        return redirect(url_for("gels.show_table"))
    version, name = asked_version("gone"), request.form.get("name", "")
    if version is None:
        raise Refused.one("gone", "it is not said when the gel was removed", "one of the removed gels")
    try:
        state().gels.bring_back(version, name, f"{gel_words(name)} brought back")
    except Conflict as other:
        assert isinstance(other.current, StoredTable), "a table's conflict is with a table"
        return _page(there=(version, name, other.current)), 409
    return redirect(url_for("gels.show_table"))


def _change(why: str, change: Callable[[Gel], Gel | None]) -> ResponseReturnValue:
    """Make a new version with every row changed, or left out where `change` returns None."""
    while True:
        now = state().gels.in_force()
        rows = [new for gel in now.table.rows if (new := change(gel)) is not None]
        if rows == now.table.rows:  # somebody else did it already
            break
        try:
            state().gels.replace(GelTable(rows=rows), why, now.version)
            break
        except Conflict:  # the table changed between the two lines: change that one instead
            continue
    return redirect(url_for("gels.show_table"))


def _save(now: StoredTable, name: str | None) -> ResponseReturnValue:
    """Put the row of the form in the place of the row `name`, or at the end."""
    form = Form(request.form)
    before = now.table.find(name)
    try:
        seen = asked_version()
        if seen is not None and name is not None:
            merged = _merged(form, seen, now, name)
            form = merged.form
            if merged.contests:
                return _edit(form, now, name, contests=merged.contests), 409
        gel = make(Gel, row_from(form, before))
        _refuse_second(gel, [g for g in now.table.rows if g.name != name])
        rows = [gel if g.name == name else g for g in now.table.rows] + ([gel] if name is None else [])
        with within("family"):
            table = make(GelTable, {"rows": rows})
        checked(gel)
        why = f"{gel_words(gel.name)} {'changed' if name else 'added'}"
        state().gels.replace(table, why, now.version)
    except Refused as no:
        return _edit(form.after(no), now, name), 422
    except Conflict as other:  # somebody wrote between the lines: that is merged too
        assert isinstance(other.current, StoredTable), "a table's conflict is with a table"
        return _save(other.current, name)
    return redirect(url_for("gels.show_table"))


def _merged(form: Form, seen: int, now: StoredTable, name: str) -> Merged:
    """Lay the form of a row, which was opened over the version `seen`, on the row as it stands."""
    own, was = now.table.find(name), table_at(seen).table.find(name)
    if own is None or was is None:
        return Merged(form)
    merged = merge(
        form, fields_of_gel(was), fields_of_gel(own), UNITS, words_of_field, moved=seen != now.version
    )

    def by(unit: str) -> tuple[str, str]:
        fields = UNITS.get(unit, (unit,))

        def value(table: GelTable) -> list[str] | None:
            gel = table.find(name)
            return [str(fields_of_gel(gel)[k]) for k in fields] if gel else None

        return changed_by(seen, value)

    return merged.by(by)


def _refuse_second(gel: Gel, others: Sequence[Gel]) -> None:
    """Raise Refused where another row has the name."""
    if any(other.name.casefold() == gel.name.casefold() for other in others):
        says = f"there is a {gel.name} in the table already"
        raise Refused.one("family", says, "another family or fraction, or change that row")


def _edit(form: Form, now: StoredTable, name: str | None, contests: Sequence[Contest] = ()) -> str:
    gel = now.table.find(name)
    sets = state().sets
    every = [sets.get_set(line.id) for line in sets.list_sets()[:_MOST_SETS]] if name else []
    view = gel_form_view(form, gel, name, now.version, every)
    return render_template("gels/edit.html", form=form, view=view, contests=contests)
