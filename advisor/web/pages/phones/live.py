"""What keeps open pages true: the pulse of a set, which phones ask for, and writes that come again."""

from typing import cast

from flask import Blueprint, Response, current_app, jsonify, request
from flask.blueprints import BlueprintSetupState
from flask.typing import ResponseReturnValue

from ....store.file.once import AlreadyDone
from ...live import idempotency
from ...live.pulse import Pulse
from ...state import State, state

blueprint = Blueprint("live", __name__)
blueprint.before_app_request(idempotency.begin)
blueprint.after_app_request(idempotency.finish)
blueprint.teardown_app_request(idempotency.end)
blueprint.app_errorhandler(AlreadyDone)(idempotency.repeated)
blueprint.app_template_global()(idempotency.tap_field)
blueprint.app_template_global()(idempotency.shown_key)


@blueprint.record_once
def _start(setup: BlueprintSetupState) -> None:
    app = setup.app
    app.extensions["pulse"] = Pulse(cast(State, app.extensions["advisor"]).sets.db)


@blueprint.get("/live/<int:set_id>")
def show_pulse(set_id: int) -> ResponseReturnValue:
    """Say a set's revision, its last change and who is here; 304 where that is known to whoever asks."""
    beat = cast(Pulse, current_app.extensions["pulse"]).beat(set_id, state().sets.who)
    known = request.if_none_match.contains_weak(beat.etag)
    answer = Response(status=304) if known else Response(beat.body, mimetype="application/json")
    answer.set_etag(beat.etag)
    return answer


@blueprint.get("/live")
def show_link() -> ResponseReturnValue:
    """Say that the server can be reached."""
    return jsonify({})
