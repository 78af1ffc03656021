"""``/api/v1``: advice for programs. Keeps nothing; describes itself in ``openapi.json``."""

from typing import TypeVar

from flask import Blueprint, Response, abort, jsonify, request
from flask.typing import ResponseReturnValue
from pydantic import BaseModel, ValidationError

from ..advice.answer.advise import advise, predict
from ..model import Advice, AdviceRequest, Prediction, PredictionRequest, refuse
from .openapi import describe
from .state import gels_in_force

blueprint = Blueprint("api", __name__, url_prefix="/api/v1")
_Asked = TypeVar("_Asked", bound=BaseModel)


@blueprint.post("/advice")
def post_advice() -> ResponseReturnValue:
    """Rank the stacks for every source."""
    return _answer(advise(_asked(AdviceRequest), gels_in_force()))


@blueprint.post("/prediction")
def post_prediction() -> ResponseReturnValue:
    """Say what one stack, built by hand, will do."""
    return _answer(predict(_asked(PredictionRequest), gels_in_force()))


@blueprint.get("/openapi.json")
def get_openapi() -> ResponseReturnValue:
    """Describe the API."""
    return jsonify(
        describe(
            {
                "/api/v1/advice": (post_advice.__doc__ or "", AdviceRequest, Advice),
                "/api/v1/prediction": (post_prediction.__doc__ or "", PredictionRequest, Prediction),
            }
        )
    )


def _asked(model: type[_Asked]) -> _Asked:
    if request.mimetype not in ("application/json", ""):
        abort(415)
    try:
        return model.model_validate_json(request.get_data())
    except ValidationError as error:
        raise refuse(error) from None


def _answer(answer: BaseModel) -> Response:
    return Response(answer.model_dump_json(), mimetype="application/json")
