"""The ways on for a set as it hangs, for programs."""

from flask.typing import ResponseReturnValue

from ...advice.next_plans.answer import plans_for
from ...imports.gels.asked_names import NamesInTable
from ...model.asked_plans import AskedPlans
from ..state import gels_in_force
from .asked_heads import sources_of
from .calls import answer, asked, blueprint


@blueprint.post("/plans")
def post_plans() -> ResponseReturnValue:
    """Say how to go on with a set that no longer fits."""
    request = asked(AskedPlans)
    table = gels_in_force() if request.gels is None else request.gels
    names = NamesInTable(table)
    sources = sources_of(request.sources, names)
    return answer(plans_for(request.model_copy(update=names.of_limits(request)), sources, table))
