"""Light that is asked for, for programs: worked out aside where that takes long."""

from flask.typing import ResponseReturnValue

from ...advice.light_aims.answer import FEW_TRIED, light_for, light_to_try
from ...imports.gels.asked_names import NamesInTable
from ...model.asked_light import AskedLight
from ..live.aside import done_aside, owner, work_of
from ..state import gels_in_force
from .asked_heads import sources_of
from .calls import answer, asked, blueprint


@blueprint.post("/light")
def post_light() -> ResponseReturnValue:
    """Say how each source comes to give the light that is asked for: dimmer, gel, scrim or distance.

    503 while that takes long: send the same again.
    """
    request = asked(AskedLight)
    table = gels_in_force() if request.gels is None else request.gels
    names = NamesInTable(table)
    sources = sources_of(request.sources, names)
    request = request.model_copy(update=names.of_limits(request))
    if light_to_try(request, sources, table) <= FEW_TRIED:
        return answer(light_for(request, sources, table))
    said = ["light", owner(), *(part.model_dump_json() for part in (request, *sources, *table))]
    work = work_of(light_for, request, sources, table)
    return answer(done_aside(said, work, what="The light", again=True))
