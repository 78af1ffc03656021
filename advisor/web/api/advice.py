"""Advice for programs: the ranked stacks of sources, and what one stack does."""

from flask.typing import ResponseReturnValue

from ...advice.answer.advise import advise, predict
from ...imports.gels.asked_names import NamesInTable
from ...model.asked import AskedAdvice, AskedPrediction
from ...model.basis.problems import within
from ..live.aside import read_apart
from ..state import gels_in_force
from .asked_heads import sources_of, with_light
from .calls import answer, asked, blueprint

FEW, FEW_LAYERS, FEW_GELS = 4, 3, 100
"""Advice on no more than all three, sources, layers and gels, is worked out at once; other advice aside."""


@blueprint.post("/advice")
def post_advice() -> ResponseReturnValue:
    """Rank the stacks for every source."""
    request = asked(AskedAdvice)
    table = gels_in_force() if request.gels is None else request.gels
    names = NamesInTable(table)
    sources = sources_of(request.sources, names)
    limits = names.of_limits(request)
    whole = request.model_copy(update={"sources": sources, **limits})
    layers = max(request.max_layers, *(source.max_layers or 0 for source in sources))
    if len(sources) <= FEW and layers <= FEW_LAYERS and sum(gel.on for gel in table) <= FEW_GELS:
        return answer(advise(whole, table))
    said = [whole.model_dump_json(), *(gel.model_dump_json() for gel in table)]
    return answer(read_apart(said, advise, whole, table, what="The advice"))


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
