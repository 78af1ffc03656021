"""The blueprint of the API, how a call takes JSON and answers with it, and how far long ones are."""

from typing import TypeVar

from flask import Blueprint, Response, abort, request
from pydantic import BaseModel, ValidationError

from ...model import refuse
from ...model.told import ToldWork
from ..live import aside

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


@blueprint.get("/working/<number>")
def get_work(number: str) -> Response:
    """Say how far long work is."""
    return _told(number)


@blueprint.post("/working/<number>/stop")
def stop_work(number: str) -> Response:
    """Stop long work of one's own; the request that asked for it begins it anew."""
    job = aside.JOBS.look(number)
    if job is not None and job.owner != aside.owner():
        abort(404)
    aside.JOBS.stop(number)
    return _told(number)


def _told(number: str) -> Response:
    job = aside.JOBS.look(number)
    told = ToldWork(number=number[:64], state="unknown", percent=0)
    return answer(
        told if job is None else ToldWork(number=number, state=job.state.value, percent=job.percent)
    )
