"""How this phone shows things: dark, light or dim, lux or foot-candles, metres or feet."""

from flask import Blueprint, Response, make_response, redirect, render_template, request, url_for

from ...access.guard import ours
from ...access.preferences import CHOICES, remember, remember_name
from ...access.sessions import people, person

blueprint = Blueprint("look", __name__)


@blueprint.get("/look")
def show_choices() -> str:
    """Show what can be chosen."""
    return render_template("look.html", back=_back(request.headers.get("Referer", "")))


@blueprint.post("/look")
def choose() -> Response:
    """Keep the choices, and go back to where the person came from."""
    response = make_response(redirect(_back(request.form.get("back", ""))))
    for name in CHOICES:
        remember(response, name, request.form.get(name, ""))
    if "who" in request.form:
        remember_name(response, request.form["who"])
        if (phone := person().phone_id) is not None and request.form["who"].strip():
            people().phones.rename(phone, request.form["who"])
    return response


def _back(address: str) -> str:
    """Return the path of an address of ours; the first page for any other."""
    path = ours(address)
    if not path or path.partition("?")[0] == url_for("look.show_choices"):
        return url_for("quick.quick_check")
    return path
