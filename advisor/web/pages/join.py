"""A phone joins: by the QR code or the typed code, with the name of its person."""

from flask import Blueprint, make_response, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from ...model import Problem, Refused
from ...store.phones import LONGEST_NAME
from ..forms import Form
from ..preferences import preferences
from ..secrets import is_scanned
from ..security import ours
from ..sessions import COOKIE, people, person
from ..sessions import join as join_phone
from .host import role_of_new_phones

blueprint = Blueprint("join", __name__)


@blueprint.get("/join")
def show_join() -> str:
    """Ask for a code and a name; those who joined are told so."""
    return _page(Form({"next": ours(request.args.get("next", ""))}))


@blueprint.get("/join/<code>")
def scanned(code: str) -> str:
    """Ask for a name only: the code came with the QR. It is looked at once it is sent."""
    return _page(Form({"code": code[:80]}))


@blueprint.post("/join")
def join() -> ResponseReturnValue:
    """Let a phone in."""
    if person().host:
        return redirect(url_for("host.show_host"))
    form, known = Form(request.form), people()
    code, address, wait = form.value("code"), request.remote_addr or "", 0
    if not is_scanned(code):
        wait = known.rates.admit(address)
    if wait:
        problem = Problem(where="code", says="Too many wrong codes", allowed=_again(wait))
        return _page(form.after(Refused([problem]))), 429, {"Retry-After": str(wait)}
    if not known.secrets.codes.fits(code):
        wrong = Refused.one(
            "code",
            "This code is not the one that the laptop shows now" if code.strip() else "Code is empty",
            "8 letters and figures, such as 7KQ2-M4XD; or scan the QR code on the laptop again",
        )
        return _page(form.after(wrong)), 422
    known.rates.forgive(address)
    response = make_response(redirect(ours(form.value("next")) or url_for("sets.list_sets"), 303))
    try:
        join_phone(response, form.value("name"), role_of_new_phones())
    except Refused as no:
        return _page(form.after(no)), 422
    return response


def _page(form: Form) -> str:
    return render_template(
        "join/page.html",
        form=form,
        name=form.value("name") or preferences().who,
        longest=LONGEST_NAME,
        out=COOKIE in request.cookies,
        scanned=is_scanned(form.value("code")) and not form.wrong("code"),
    )


def _again(wait: int) -> str:
    minutes = -(-wait // 60)
    when = f"{wait} seconds" if wait <= 60 else f"{minutes} minutes"
    return f"try again in {when}, or scan the QR code on the laptop, which works at once"
