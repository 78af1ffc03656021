"""The pull list of one set or several, the openings of a source, the sizes that gel comes in."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any, get_args

from flask import Blueprint, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from ...advice.cutting import ROLL_STEP, SEAM_OVERLAP
from ...advice.pulled import PullList, Use
from ...advice.pulls import pull_list
from ...model import Opening, Problem, Refused
from ...model.base import Model
from ...model.formats import Format, FormatTable, formats_from
from ...model.quantities import FormatLength, FormatWidth, Quantity, Side, SparePercent
from ...store import Conflict, NotFound, StoredSet, StoredSource
from ..download import download
from ..forms import Form, make
from ..preferences import metres
from ..pull_csv import pull_csv
from ..repeat import asked_revision, conflict_status, tell_revision
from ..shown import extent, plain
from ..state import gels_in_force, state
from .sets import plan_of
from .sources import present

blueprint = Blueprint("pulls", __name__)
_MOST_OPENINGS, _MOST_FORMATS = 20, 20
_KEY = "gel formats"


class _Spare(Model):
    spare_percent: SparePercent


@dataclass(frozen=True)
class _Pulled:
    """The list for a page: the sets in it (the page's own first), and how it was asked for."""

    sets: Sequence[StoredSet]
    formats: FormatTable
    cut_from: Format | None
    pulls: PullList

    @property
    def asked(self) -> dict[str, Any]:
        """The query that asks for the same again."""
        also = [s.id for s in self.sets[1:]]
        chosen = {"format": self.cut_from.name} if self.cut_from else {}
        return {"also": also, **chosen} if also else chosen

    def source(self, use: Use) -> StoredSource:
        """Return the source of a use."""
        return self.sets[use.plan].sources[use.head]


@blueprint.get("/sets/<int:set_id>/pulls")
def show_pulls(set_id: int) -> ResponseReturnValue:
    """Show what to pull, gel by gel; with ``?also=`` for further sets, cut from ``?format=``."""
    return _page(state().sets.get_set(set_id), Form())


@blueprint.get("/sets/<int:set_id>/pulls.csv")
def export_pulls(set_id: int) -> ResponseReturnValue:
    """Download the same list, a row a cut and a total a gel."""
    pulled = _pulled(state().sets.get_set(set_id))
    text = pull_csv(pulled.pulls, [kept.name for kept in pulled.sets])
    return download(text, "text/csv", "pull-list.csv")


@blueprint.route("/sets/<int:set_id>/spare", methods=["GET", "POST"])
def set_spare(set_id: int) -> ResponseReturnValue:
    """Change how much more than needed is pulled."""
    if request.method != "POST":  # a page with what was refused, opened again by its address
        return redirect(url_for("pulls.show_pulls", set_id=set_id) + _query())
    form = Form(request.form)
    try:
        wanted = make(_Spare, {"spare_percent": form.value("spare_percent")})
        revision = asked_revision()
        kept = state().sets.update_set(set_id, spare_percent=wanted.spare_percent, revision=revision)
        tell_revision(revision, kept.revision)
    except Refused as no:
        return _page(state().sets.get_set(set_id), form.after(no)), 422
    except Conflict:
        return _page(state().sets.get_set(set_id), form, conflict=True), conflict_status()
    return redirect(url_for("pulls.show_pulls", set_id=set_id) + _query())


@blueprint.route("/sources/<int:source_id>/openings", methods=["GET", "POST"])
def edit_openings(source_id: int) -> ResponseReturnValue:
    """Say what gel has to cover on a source: rows of count, width and height."""
    now = present(source_id) if request.method == "POST" else state().sets.get_source(source_id)
    if request.method != "POST":
        if now.deleted:
            return redirect(url_for("sets.show_set", set_id=now.set_id, removed=now.id))
        return _openings_page(now, Form(_openings_as_fields(now.source.openings)))
    form = Form(request.form)
    try:
        openings = _openings_from(form, now.source.openings)
        changed = now.source.model_copy(update={"openings": openings})
        revision = asked_revision()
        tell_revision(revision, state().sets.update_source(source_id, changed, revision=revision).revision)
    except Refused as no:
        return _openings_page(now, form.after(no)), 422
    except Conflict as other:
        assert isinstance(other.current, StoredSource), "a source's conflict is with a source"
        return _openings_page(other.current, form, conflict=True), conflict_status()
    return redirect(url_for("pulls.show_pulls", set_id=now.set_id))


@blueprint.route("/formats", methods=["GET", "POST"])
def edit_formats() -> ResponseReturnValue:
    """Change the sizes that gel is cut from; an emptied row is taken out."""
    kept = state().choices.load(_KEY)
    now = formats_from(kept)
    if request.method != "POST":
        return _formats_page(now, Form(_formats_as_fields(now)))
    form = Form(request.form)
    try:
        if form.value("was") != now.model_dump_json():
            raise Conflict(kept)
        state().choices.save(_KEY, _formats_from(form, now).model_dump_json(), was=kept)
    except Refused as no:
        return _formats_page(now, form.after(no)), 422
    except Conflict:
        return _formats_page(_formats(), form, conflict=True), conflict_status()
    return redirect(url_for("pulls.edit_formats", kept="yes"))


def _query() -> str:
    """Return the query of this request, to go on with what was chosen."""
    return f"?{request.query_string.decode()}" if request.query_string else ""


def _formats() -> FormatTable:
    return formats_from(state().choices.load(_KEY))


def _pulled(now: StoredSet) -> _Pulled:
    sets = [now]
    for set_id in dict.fromkeys(request.args.getlist("also", type=int)):
        try:
            if set_id != now.id:
                sets.append(state().sets.get_set(set_id))
        except NotFound:  # a set that was removed since its box was ticked
            continue
    formats = _formats()
    cut_from = next((f for f in formats.rows if f.name == request.args.get("format")), None)
    pulls = pull_list(
        [plan_of(s) for s in sets],
        gels_in_force(),
        formats.rows,
        spare_percent=now.spare_percent,
        cut_from=cut_from,
    )
    return _Pulled(sets, formats, cut_from, pulls)


def _page(now: StoredSet, form: Form, *, conflict: bool = False) -> str:
    pulled = _pulled(now)
    if not form.values:
        form = Form({"spare_percent": plain(now.spare_percent)})
    others = [s for s in state().sets.list_sets() if s.id != now.id]
    return render_template(
        "pulls/show.html",
        now=now,
        pulled=pulled,
        pulls=pulled.pulls,
        form=form,
        others=others,
        conflict=conflict,
        overlap=SEAM_OVERLAP,
        roll_step=ROLL_STEP,
    )


def _quantity(annotated: Any, name: str) -> Quantity:
    return replace(next(a for a in get_args(annotated) if isinstance(a, Quantity)), name=name)


def _length(form: Form, field: str, of: Quantity, before: float | None, wrong: list[Problem]) -> float:
    """Read a length from a field; one that stands there as it was shown keeps all its digits."""
    typed = form.value(field).strip()
    if before is not None and typed == _as_field(before):
        return before
    try:
        return metres(typed, of, field)
    except Refused as no:
        wrong += no.problems
        return of.low


def _as_field(length: float) -> str:
    """Write a length as its field shows it: without the unit in metres, where that stands beside it."""
    return extent(length).removesuffix(" m")


def _filled(form: Form, most: int, *names: str) -> list[int]:
    """Return the rows in which something was typed."""
    return [i for i in range(most) if any(form.value(f"{name}_{i}").strip() for name in names)]


def _row_of(no: Refused, i: int) -> list[Problem]:
    """Point at the fields of row `i`."""
    return [p.model_copy(update={"where": f"{p.where}_{i}"}) for p in no.problems]


def _openings_from(form: Form, before: Sequence[Opening]) -> list[Opening]:
    found, wrong = [], list[Problem]()
    for i in _filled(form, _MOST_OPENINGS, "count", "width", "height"):
        old = before[i] if i < len(before) else None
        width = _length(form, f"width_{i}", _quantity(Side, "Width"), old.width if old else None, wrong)
        height = _length(form, f"height_{i}", _quantity(Side, "Height"), old.height if old else None, wrong)
        count = form.value(f"count_{i}").strip() or 1
        try:
            found.append(make(Opening, {"count": count, "width": width, "height": height}))
        except Refused as no:
            wrong += _row_of(no, i)
    if wrong:
        raise Refused(wrong)
    return found


def _openings_as_fields(openings: Sequence[Opening]) -> dict[str, str]:
    fields = {}
    for i, opening in enumerate(openings):
        fields[f"count_{i}"] = plain(opening.count)
        fields[f"width_{i}"], fields[f"height_{i}"] = _as_field(opening.width), _as_field(opening.height)
    return fields


def _openings_page(now: StoredSource, form: Form, *, conflict: bool = False) -> str:
    filled = max([*_filled(form, _MOST_OPENINGS, "count", "width", "height"), -1]) + 1
    owner = state().sets.get_set(now.set_id)
    rows = min(max(3, filled + 1), _MOST_OPENINGS)
    return render_template(
        "pulls/openings.html",
        fields=[f"{n}_{i}" for n in ("count", "width", "height") for i in range(rows)],
        now=now,
        owner=owner,
        form=form,
        rows=rows,
        conflict=conflict,
    )


def _formats_from(form: Form, before: FormatTable) -> FormatTable:
    found, wrong = [], list[Problem]()
    for i in _filled(form, _MOST_FORMATS, "name", "width", "length"):
        old = before.rows[i] if i < len(before.rows) else None
        width = _length(
            form, f"width_{i}", _quantity(FormatWidth, "Width"), old.width if old else None, wrong
        )
        length = _length(
            form, f"length_{i}", _quantity(FormatLength, "Length"), old.length if old else None, wrong
        )
        data = {"name": form.value(f"name_{i}"), "form": form.value(f"form_{i}"), "width": width}
        try:
            found.append(make(Format, {**data, "length": length}))
        except Refused as no:
            wrong += _row_of(no, i)
    if wrong:
        raise Refused(wrong)
    if not found:
        raise Refused.one("", "no size is left to cut from", "at least one sheet or roll")
    return make(FormatTable, {"rows": found})


def _formats_as_fields(table: FormatTable) -> dict[str, str]:
    fields = {}
    for i, row in enumerate(table.rows):
        fields[f"name_{i}"], fields[f"form_{i}"] = row.name, row.form.value
        fields[f"width_{i}"], fields[f"length_{i}"] = _as_field(row.width), _as_field(row.length)
    return fields


def _formats_page(now: FormatTable, form: Form, *, conflict: bool = False) -> str:
    filled = max([*_filled(form, _MOST_FORMATS, "name", "width", "length"), -1]) + 1
    rows = min(filled + 2, _MOST_FORMATS)
    return render_template(
        "pulls/formats.html",
        fields=[f"{n}_{i}" for n in ("name", "form", "width", "length") for i in range(rows)],
        now=now,
        form=form,
        rows=rows,
        kept="kept" in request.args,
        conflict=conflict,
    )
