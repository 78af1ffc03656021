"""The sizes that gel is cut from: sheets and rolls."""

from collections.abc import Sequence

from flask import Blueprint, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from ....model import Problem, Refused
from ....model.basis.quantities import FormatLength, FormatWidth, quantity_of
from ....model.gels.formats import Format, FormatTable, formats_from
from ....store import Conflict
from ...forms.form import Form, filled_rows, in_row, make
from ...forms.lengths import length_field, length_in
from ...forms.merge import SHOWED, Contest, merge, showed_in
from ...state import FORMATS, state
from ...views.pulls.sizes import MOST_SIZES, sizes_form

blueprint = Blueprint("formats", __name__)
_UNITS = {
    f"size_{i}": tuple(f"{n}_{i}" for n in ("name", "form", "width", "length")) for i in range(MOST_SIZES)
}


@blueprint.route("/formats", methods=["GET", "POST"])
def edit_formats() -> ResponseReturnValue:
    """Change the sizes that gel is cut from; an emptied row is taken out."""
    kept = state().choices.load(FORMATS)
    now = formats_from(kept)
    if request.method != "POST":
        return _page(now, Form(_as_fields(now)))
    form = Form(request.form)
    try:
        if (showed := showed_in(form)) is None:
            raise Refused.one(SHOWED, "the page does not say what it showed", "open the page again")
        merged = merge(form, showed, _as_fields(now), _UNITS).by(lambda unit: state().choices.chosen(FORMATS))
        form = merged.form
        if merged.contests:
            return _page(now, form, contests=merged.contests), 409
        state().choices.save(FORMATS, _formats_from(form, now).model_dump_json(), was=kept)
    except Refused as no:
        return _page(now, form.after(no)), 422
    except Conflict:  # somebody kept theirs between the lines: that is merged too
        return edit_formats()
    return redirect(url_for("formats.edit_formats", kept="yes"))


def _formats_from(form: Form, before: FormatTable) -> FormatTable:
    found, wrong = [], list[Problem]()
    for i in filled_rows(form, MOST_SIZES, "name", "width", "length"):
        old = before.rows[i] if i < len(before.rows) else None
        width = length_in(
            form, f"width_{i}", quantity_of(FormatWidth, "Width"), old.width if old else None, wrong
        )
        length = length_in(
            form, f"length_{i}", quantity_of(FormatLength, "Length"), old.length if old else None, wrong
        )
        data = {"name": form.value(f"name_{i}"), "form": form.value(f"form_{i}"), "width": width}
        try:
            found.append(make(Format, {**data, "length": length}))
        except Refused as no:
            wrong += in_row(no, i)
    if wrong:
        raise Refused(wrong)
    if not found:
        raise Refused.one("", "no size is left to cut from", "at least one sheet or roll")
    return make(FormatTable, {"rows": found})


def _as_fields(table: FormatTable) -> dict[str, str]:
    fields = {}
    for i, row in enumerate(table.rows):
        fields[f"name_{i}"], fields[f"form_{i}"] = row.name, row.form.value
        fields[f"width_{i}"], fields[f"length_{i}"] = length_field(row.width), length_field(row.length)
    return fields


def _page(now: FormatTable, form: Form, *, contests: Sequence[Contest] = ()) -> str:
    return render_template(
        "pulls/formats.html",
        view=sizes_form(now, form),
        form=form,
        kept="kept" in request.args,
        contests=contests,
        showed=_as_fields(now),
    )
