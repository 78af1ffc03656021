"""Advice for programs: the ranked stacks of sources, and what one stack does."""

from flask.typing import ResponseReturnValue

from ...advice.answer.advise import advise, predict
from ...imports.gels.asked_names import NamesInTable
from ...model.asked import AskedAdvice, AskedPrediction
from ...model.basis.problems import within
from ..state import gels_in_force
from .asked_heads import sources_of, with_light
from .calls import answer, asked, blueprint


@blueprint.post("/advice")
def post_advice() -> ResponseReturnValue:
    """Rank the stacks for every source."""
    request = asked(AskedAdvice)
    table = gels_in_force() if request.gels is None else request.gels
    names = NamesInTable(table)
    sources = sources_of(request.sources, names)
    limits = names.of_limits(request)
    return answer(advise(request.model_copy(update={"sources": sources, **limits}), table))


@blueprint.post("/prediction")
def post_prediction() -> ResponseReturnValue:
    """Say what one stack, built by hand, will do."""
    request = asked(AskedPrediction)
    table = gels_in_force() if request.gels is None else request.gels
    names = NamesInTable(table)
    with within("source"):
        source = names.of_source(with_light(request.source))
    stack = names.of(request.stack)
    return answer(predict(request.model_copy(update={"source": source, "stack": stack}), table))
