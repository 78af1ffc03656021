"""The blueprint of the API, and how a call takes JSON and answers with it."""

from typing import TypeVar

from flask import Blueprint, Response, abort, request
from pydantic import BaseModel, ValidationError

from ...model import refuse

blueprint = Blueprint("api", __name__, url_prefix="/api/v1")
_Asked = TypeVar("_Asked", bound=BaseModel)


def asked(model: type[_Asked]) -> _Asked:
    """Return what a request asks; raises Refused for what is wrong with it, and answers 415 to no JSON."""
    if request.mimetype not in ("application/json", ""):
        abort(415)
    try:
        return model.model_validate_json(request.get_data())
    except ValidationError as error:
        raise refuse(error) from None


def answer(told: BaseModel) -> Response:
    """Return an answer as JSON."""
    return Response(told.model_dump_json(), mimetype="application/json")
