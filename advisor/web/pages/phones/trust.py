"""A phone learns to trust the laptop's own certificate: three pictures, and the certificate itself."""

from flask import Blueprint, Response, abort, render_template

from ...access.sessions import people
from ...access.trust import Trust
from ...forms.files import download

blueprint = Blueprint("trust", __name__)


@blueprint.get("/trust")
def show_trust() -> str:
    """Show what to do, once on each phone."""
    trust, lan = _trust(), people().lan
    assert lan is not None, "there is a network where there is a certificate for it"
    return render_template("join/trust.html", fingerprint=trust.fingerprint, join_url=f"{lan.urls()[0]}join")


@blueprint.get("/trust/gel-advisor.crt")
def give_certificate() -> Response:
    """Send the certificate of the laptop's authority, as phones take it (DER; RFC 2585 names the type)."""
    return download(_trust().certificate, "application/x-x509-ca-cert", "gel-advisor.crt")


def _trust() -> Trust:
    lan = people().lan
    if lan is None or lan.trust is None:
        abort(404)
    return lan.trust
