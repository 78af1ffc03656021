"""The host's page: how phones join, which did, and how the server does."""

from flask import Blueprint, current_app, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from ....model import Refused
from ....model.basis.problems import short
from ....store.crew.phones import HOST
from ...access.rights import GIVEN, WORDS
from ...access.sessions import new_key, people
from ...forms.form import Form
from ...state import state
from ...views.host import view_of

blueprint = Blueprint("host", __name__)
_CHOICE = "role of new phones"
_USUAL = "meter"


@blueprint.get("/host")
def show_host() -> str:
    """Show how to join, who joined, and how the server does."""
    return _page(Form({}))


@blueprint.post("/host/keys")
def make_key() -> ResponseReturnValue:
    """Make a key for a program, and show it this once."""
    form = Form(request.form)
    try:
        key = new_key(form.value("name"), _role())
    except Refused as no:
        return _page(form.after(no)), 422
    return _page(Form({}), key)


@blueprint.post("/host/keys/<int:phone_id>/revoke")
def revoke_key(phone_id: int) -> ResponseReturnValue:
    """Withdraw a key: what the program asks next is refused."""
    people().phones.revoke(phone_id)
    return redirect(url_for("host.show_host", _anchor="programs"), 303)


def _page(form: Form, key: str = "") -> str:
    kept, backups = current_app.extensions, current_app.extensions.get("backups")
    view = view_of(
        people(),
        role_of_new_phones(),
        kept["tally"],
        kept["database"].path,
        backups.status() if backups else None,
    )
    return render_template("host/page.html", view=view, out=request.args.get("out"), form=form, key=key)


@blueprint.post("/host/renew")
def renew_codes() -> ResponseReturnValue:
    """Make new codes; the old ones are worth nothing at once."""
    people().secrets.renew()
    people().rates.forget()
    return redirect(url_for("host.show_host"), 303)


@blueprint.post("/host/role")
def choose_role() -> ResponseReturnValue:
    """Choose what phones may do that join from now on."""
    state().choices.save(_CHOICE, _role())
    return redirect(url_for("host.show_host"), 303)


@blueprint.post("/host/phones/<int:phone_id>/role")
def change_role(phone_id: int) -> ResponseReturnValue:
    """Let a phone do more or less from now on. A host by a link may stay one, and nobody else becomes one."""
    phones = people().phones
    hosts = {p.id for p in phones.all() if p.revoked_at is None and p.role == HOST}
    if not (phone_id in hosts and request.form.get("role") == HOST):
        phones.change_role(phone_id, _role())
    return redirect(url_for("host.show_host"), 303)


@blueprint.post("/host/phones/<int:phone_id>/revoke")
def revoke_phone(phone_id: int) -> ResponseReturnValue:
    """Put a phone out: its next request leads to the page where phones join."""
    people().phones.revoke(phone_id)
    return redirect(url_for("host.show_host", out=phone_id), 303)


@blueprint.post("/host/invites/withdraw")
def withdraw_invite() -> ResponseReturnValue:
    """End a link that nobody has used yet; one that ended meanwhile has ended."""
    people().invites.withdraw(request.form.get("invite", ""))
    return redirect(url_for("host.show_host"), 303)


def role_of_new_phones() -> str:
    """Return the role that a phone has when it joins."""
    chosen = state().choices.load(_CHOICE)
    return chosen if chosen in GIVEN else _USUAL


def _role() -> str:
    role = request.form.get("role", "")
    if role not in GIVEN:
        allowed = ", ".join(WORDS[right] for right in GIVEN.values())
        raise Refused.one("role", f"{short(role)} is not a role that a phone can have", allowed)
    return role
