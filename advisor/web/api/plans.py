"""The ways on for a set as it hangs, for programs: worked out aside, and stopped where nobody wants them."""

from collections.abc import Sequence

from flask.typing import ResponseReturnValue

from ...advice.next_plans.answer import SetToPlan, plans_for, set_to_plan
from ...imports.gels.asked_names import NamesInTable
from ...model import Gel
from ...model.asked_plans import AskedPlans
from ..live.aside import done_aside, owner, work_of
from ..state import gels_in_force
from .asked_heads import sources_of
from .calls import answer, asked, blueprint


@blueprint.post("/plans")
def post_plans() -> ResponseReturnValue:
    """Say how to go on with a set that no longer fits; 503 while that takes long: send the same again."""
    said, given = _asked()
    return answer(done_aside(said, work_of(plans_for, given), again=True))


def _asked() -> tuple[list[str], SetToPlan]:
    """Return what is asked, as texts and looked at; nobody else has the same. Raises Refused."""
    request = asked(AskedPlans)
    table: Sequence[Gel] = gels_in_force() if request.gels is None else request.gels
    names = NamesInTable(table)
    sources = sources_of(request.sources, names)
    given = set_to_plan(request.model_copy(update=names.of_limits(request)), sources, table)
    parts = [given.asked, *sources, *table]
    return ["next plans", owner(), *(part.model_dump_json() for part in parts)], given
