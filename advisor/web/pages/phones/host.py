"""The host's page: how phones join, which did, and how the server does."""

from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

import segno
from flask import Blueprint, current_app, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue
from markupsafe import Markup

from ....model import Refused
from ....model.problems import short
from ....model.quantities import tidy
from ....store.phones import HOST, StoredPhone
from ....version import version
from ...access.rights import GIVEN, WORDS, Right
from ...access.sessions import people
from ...live.pulse import HERE
from ...state import state

blueprint = Blueprint("host", __name__)
_CHOICE = "role of new phones"
_USUAL = "meter"
ROLES = [(role, WORDS[right]) for role, right in GIVEN.items()]


@dataclass(frozen=True)
class _Seen:
    """A phone, with how long ago it last asked, in words."""

    phone: StoredPhone
    ago: str


@blueprint.get("/host")
def show_host() -> str:
    """Show how to join, who joined, and how the server does."""
    known = people()
    phones = [p for p in known.phones.all() if p.revoked_at is None]
    urls = known.lan.urls() if known.lan else []
    codes = known.secrets.codes
    return render_template(
        "host/page.html",
        lan=known.lan,
        urls=urls,
        found=bool(known.lan and known.lan.addresses()),
        qr=_qr(f"{urls[0]}join/{codes.scanned}") if urls else None,
        codes=codes,
        closed=-(-known.rates.closed() // 60),
        phones=[_Seen(p, _ago(known.seen.get(p.id))) for p in phones],
        out=request.args.get("out"),
        roles=ROLES,
        given_by_link=(HOST, WORDS[Right.HOST]),
        invites=known.invites.pending(),
        usual=role_of_new_phones(),
        tally=current_app.extensions["tally"],
        uptime=span(current_app.extensions["tally"].uptime),
        size=_size(current_app.extensions["database"].path),
        folder=current_app.extensions["database"].path.parent.absolute(),
        backups=current_app.extensions.get("backups"),
        version=version(),
    )


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


def span(seconds: float) -> str:
    """Say a length of time: “40 s”, “3 min”, “5 h 10 min”, “2 d 4 h”."""
    minutes, hours, days = int(seconds // 60), int(seconds // 3600), int(seconds // 86400)
    if minutes == 0:
        return f"{int(seconds)} s"
    if hours == 0:
        return f"{minutes} min"
    return f"{hours} h {minutes % 60} min" if days == 0 else f"{days} d {hours % 24} h"


def _ago(at: datetime | None) -> str:
    if at is None:
        return "not seen since it was started on the laptop"
    seconds = (datetime.now(UTC) - at).total_seconds()
    # A clock that was set back in between makes no future of what was.
    return "here now" if seconds < HERE else f"seen {span(seconds)} ago"


def _role() -> str:
    role = request.form.get("role", "")
    if role not in GIVEN:
        allowed = ", ".join(WORDS[right] for right in GIVEN.values())
        raise Refused.one("role", f"{short(role)} is no role that a phone can have", allowed)
    return role


def _qr(url: str) -> Markup:
    """Draw a QR code (ISO/IEC 18004), dark on white with the quiet zone of 4 modules that it asks for."""
    drawn = segno.make(url, error="m", micro=False).svg_inline(
        border=4, dark="#000", light="#fff", omitsize=True, svgclass="qr", lineclass=None
    )
    return Markup(drawn)  # only what segno drew: the address is in it as squares


def _size(path: Path) -> str:
    """Say how large the data file is, with what SQLite has not yet written into it."""
    parts = [path, path.with_name(path.name + "-wal")]
    total = sum(part.stat().st_size for part in parts if part.exists())
    return f"{tidy(total / 1e6, 1)} MB"
