"""``/api/v1``: advice for programs, and the known heads. Describes itself in ``openapi.json``."""

from typing import TypeVar

from flask import Blueprint, Response, abort, jsonify, request
from flask.typing import ResponseReturnValue
from pydantic import BaseModel, ValidationError

from ..advice.answer.advise import advise, predict
from ..model import Advice, Prediction, refuse
from ..model.asked import AskedAdvice, AskedPrediction, HeadList, TestedHead, ToldHead
from ..model.basis.problems import within
from ..store.file.database import utc_now
from .access.sessions import person
from .asked_heads import head_list, told_head, with_light
from .openapi import Operation, describe
from .state import gels_in_force, state

blueprint = Blueprint("api", __name__, url_prefix="/api/v1")
_Asked = TypeVar("_Asked", bound=BaseModel)


@blueprint.post("/advice")
def post_advice() -> ResponseReturnValue:
    """Rank the stacks for every source."""
    asked = _asked(AskedAdvice)
    sources = []
    for place, source in enumerate(asked.sources):
        with within("sources", place):
            sources.append(with_light(source))
    return _answer(advise(asked.model_copy(update={"sources": sources}), gels_in_force()))


@blueprint.post("/prediction")
def post_prediction() -> ResponseReturnValue:
    """Say what one stack, built by hand, will do."""
    asked = _asked(AskedPrediction)
    with within("source"):
        source = with_light(asked.source)
    return _answer(predict(asked.model_copy(update={"source": source}), gels_in_force()))


@blueprint.get("/heads")
def get_heads() -> ResponseReturnValue:
    """List the known heads."""
    return _answer(head_list())


@blueprint.get("/heads/<int:head_id>")
def get_head(head_id: int) -> ResponseReturnValue:
    """Tell all that is known of a head."""
    return _answer(told_head(head_id))


@blueprint.post("/heads")
def post_test() -> ResponseReturnValue:
    """Keep a test of a head."""
    tested = _asked(TestedHead)
    head_id = state().heads.exchange.add(tested.filed(utc_now(), person().name))
    return _answer(told_head(head_id))


_DESCRIBED = (
    Operation("post", "/api/v1/advice", "advice", post_advice.__doc__, AskedAdvice, Advice),
    Operation(
        "post", "/api/v1/prediction", "prediction", post_prediction.__doc__, AskedPrediction, Prediction
    ),
    Operation("get", "/api/v1/heads", "heads", get_heads.__doc__, None, HeadList),
    Operation("post", "/api/v1/heads", "test", post_test.__doc__, TestedHead, ToldHead),
    Operation("get", "/api/v1/heads/{head_id}", "head", get_head.__doc__, None, ToldHead),
)


@blueprint.get("/openapi.json")
def get_openapi() -> ResponseReturnValue:
    """Describe the API."""
    return jsonify(describe(_DESCRIBED))


def _asked(model: type[_Asked]) -> _Asked:
    if request.mimetype not in ("application/json", ""):
        abort(415)
    try:
        return model.model_validate_json(request.get_data())
    except ValidationError as error:
        raise refuse(error) from None


def _answer(answer: BaseModel) -> Response:
    return Response(answer.model_dump_json(), mimetype="application/json")
