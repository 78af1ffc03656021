"""A phone joins: by the QR code or the typed code, with the name of its person."""

import logging

from flask import Blueprint, Response, make_response, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from ....model import Problem, Refused
from ....store.crew.phones import HOST, LONGEST_NAME
from ...access.guard import ours
from ...access.preferences import preferences, remember_name
from ...access.sessions import COOKIE, people, person
from ...access.sessions import join as join_phone
from ...access.signing import is_scanned
from ...forms.form import Form
from .host import role_of_new_phones

blueprint = Blueprint("join", __name__)
_SCAN = "or scan the QR code on the laptop, which works at once"
_log = logging.getLogger(__name__)


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
    if person().at_laptop:
        return redirect(url_for("host.show_host"))
    form, known = Form(request.form), people()
    code = form.value("code")
    if is_scanned(code) and not known.secrets.codes.fits(code) and known.invites.pending():
        return _join_by_link(form)
    rates, address = known.rates, request.remote_addr or ""
    if not is_scanned(code) and (wait := rates.admit(address)):
        return _too_many(form, "Too many wrong codes", f"{_when(wait)}, {_SCAN}", wait)
    if not known.secrets.codes.fits(code):
        return _wrong(form)
    rates.forgive(address)
    return _joined(form, role_of_new_phones(), url_for("start.go_on"))


def _join_by_link(form: Form) -> ResponseReturnValue:
    """Let a phone in as a host, by the code of a link that was made at the machine, once."""
    known, address = people(), request.remote_addr or ""
    known.notice_new_links()
    if wait := known.invite_rates.admit(address):
        return _too_many(form, "Too many wrong links", f"{_when(wait)}, or make a new link", wait)
    try:
        with known.invites.claim(form.value("code")) as found:
            if not found:
                return _wrong(form)
            known.invite_rates.forgive(address)
            answer = _answer(form, HOST, url_for("host.show_host"))
    except Refused as no:  # the link is as good as before
        return _page(form.after(no)), 422
    _log.info("a link was used: one more phone may give roles")
    return answer


def _joined(form: Form, role: str, to: str) -> ResponseReturnValue:
    try:
        return _answer(form, role, to)
    except Refused as no:
        return _page(form.after(no)), 422


def _answer(form: Form, role: str, to: str) -> Response:
    """Keep the phone, and lead it where it wanted to go, else on; raises Refused for its name.

    Whoever typed no more than the laptop's address wanted nothing in particular.
    """
    wanted = ours(form.value("next"))
    response = make_response(redirect(to if wanted in ("", "/") else wanted, 303))
    join_phone(response, form.value("name"), role)
    remember_name(response, form.value("name"))  # so that nobody has to type it again
    return response


def _wrong(form: Form) -> ResponseReturnValue:
    says, code = "This code is not the one that the laptop shows now", form.value("code").strip()
    allowed = "8 letters and figures, such as 7KQ2-M4XD, or the QR code on the laptop again"
    if is_scanned(code):
        allowed += ". A link from “advisor invite” works once, within 30 minutes"
    return _page(form.after(Refused.one("code", says if code else "Code is empty", allowed))), 422


def _too_many(form: Form, says: str, allowed: str, wait: int) -> ResponseReturnValue:
    problem = Problem(where="code", says=says, allowed=allowed)
    return _page(form.after(Refused([problem]))), 429, {"Retry-After": str(wait)}


def _page(form: Form) -> str:
    lan = people().lan
    return render_template(
        "join/page.html",
        trust_offered=lan is not None and lan.trust is not None,
        form=form,
        name=form.value("name") or preferences().who,
        longest=LONGEST_NAME,
        out=COOKIE in request.cookies,
        scanned=is_scanned(form.value("code")) and not form.wrong("code"),
    )


def _when(wait: int) -> str:
    """Say in how long to try again. [s]"""
    minutes = -(-wait // 60)
    return f"try again in {f'{wait} seconds' if wait <= 60 else f'{minutes} minutes'}"
