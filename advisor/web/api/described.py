"""What the API does, call by call, as it describes itself."""

from flask import jsonify
from flask.typing import ResponseReturnValue

from ...model import Advice, Prediction
from ...model.asked import AskedAdvice, AskedPrediction, HeadList, TestedHead, ToldHead
from ...model.asked_light import AskedLight, ToldLight
from ...model.asked_plans import AskedPlans, ToldPlans
from ...model.told import GelList, SentReading, SetList, ToldSet, ToldWork
from .advice import post_advice, post_prediction
from .calls import blueprint, get_work, stop_work
from .gels import get_gels
from .heads import get_head, get_heads, post_test
from .light import post_light
from .openapi import Operation, describe
from .plans import post_plans
from .sets import get_set, get_sets, post_reading

_AT = "/api/v1"
_DESCRIBED = (
    Operation("post", f"{_AT}/advice", "advice", post_advice.__doc__, AskedAdvice, Advice),
    Operation(
        "post", f"{_AT}/prediction", "prediction", post_prediction.__doc__, AskedPrediction, Prediction
    ),
    Operation("post", f"{_AT}/plans", "plans", post_plans.__doc__, AskedPlans, ToldPlans),
    Operation("post", f"{_AT}/light", "light", post_light.__doc__, AskedLight, ToldLight),
    Operation("get", f"{_AT}/gels", "gels", get_gels.__doc__, None, GelList),
    Operation("get", f"{_AT}/heads", "heads", get_heads.__doc__, None, HeadList),
    Operation("post", f"{_AT}/heads", "test", post_test.__doc__, TestedHead, ToldHead),
    Operation("get", f"{_AT}/heads/{{head_id}}", "head", get_head.__doc__, None, ToldHead),
    Operation("get", f"{_AT}/sets", "sets", get_sets.__doc__, None, SetList),
    Operation("get", f"{_AT}/sets/{{set_id}}", "set", get_set.__doc__, None, ToldSet),
    Operation(
        "post",
        f"{_AT}/sets/{{set_id}}/sources/{{number}}/readings",
        "reading",
        post_reading.__doc__,
        SentReading,
        ToldSet,
    ),
    Operation("get", f"{_AT}/working/{{work}}", "work", get_work.__doc__, None, ToldWork),
    Operation("post", f"{_AT}/working/{{work}}/stop", "stop", stop_work.__doc__, None, ToldWork),
)


__all__ = ["blueprint", "get_openapi"]


@blueprint.get("/openapi.json")
def get_openapi() -> ResponseReturnValue:
    """Describe the API."""
    return jsonify(describe(_DESCRIBED))
