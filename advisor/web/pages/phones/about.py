"""How true the numbers are, and what is assumed: said once, in plain words, so that no answer has to."""

from flask import Blueprint, render_template

blueprint = Blueprint("about", __name__)


@blueprint.get("/about")
def show_numbers() -> str:
    """Say how true an answer is, what its words mean, and what nobody measured."""
    return render_template("about.html")
