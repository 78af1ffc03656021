"""A long text that a phone pasted, in full: pages show only some of its lines."""

from flask import Blueprint, Response, abort

from ...pastes.long_texts import kept_text

blueprint = Blueprint("texts", __name__)


@blueprint.get("/texts/<key>")
def show_text(key: str) -> Response:
    """Show a text that this phone sent, as it came; 404 where the laptop does not have it any more."""
    text = kept_text(key)
    if text is None:
        abort(404)
    return Response(text.encode("utf-8", "replace"), mimetype="text/plain")
