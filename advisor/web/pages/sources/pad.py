"""What the reading pad asks while somebody types in it: nothing is kept."""

from flask import Blueprint, render_template, request
from flask.typing import ResponseReturnValue

from ....model import Refused
from ...forms.form import Form
from ...plans.kept import plan_if
from ...plans.new_reading import source_with, taken_from
from ...state import state
from ...views.pad.answer import PadAnswer, answer_of
from .head_page import present

blueprint = Blueprint("pad", __name__)


@blueprint.get("/sources/<int:source_id>/pad")
def show_answer(source_id: int) -> ResponseReturnValue:
    """Show what the head's page will say once the reading in the address is kept, as a part of a page."""
    now, form = present(source_id), Form(request.args)
    try:
        source = source_with(now, taken_from(now, form))
    except Refused as no:
        form = form.after(no)
        told = form.value("told")  # what the form says already
        answer = PadAnswer("", problems=tuple(p for p in no.problems if p.where != told))
    else:
        owner = state().sets.get_set(now.set_id)
        index = owner.index_of(now.id)
        answer = answer_of(plan_if(owner, index, source), index)
    return render_template("sources/pad_answer.html", answer=answer, form=form)
