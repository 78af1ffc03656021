"""Light that is asked for, for programs."""

from flask.typing import ResponseReturnValue

from ...advice.light_aims.answer import light_for
from ...imports.gels.asked_names import NamesInTable
from ...model.asked_light import AskedLight
from ..state import gels_in_force
from .asked_heads import sources_of
from .calls import answer, asked, blueprint


@blueprint.post("/light")
def post_light() -> ResponseReturnValue:
    """Say how each source comes to give the light that is asked for: dimmer, gel, scrim or distance."""
    request = asked(AskedLight)
    table = gels_in_force() if request.gels is None else request.gels
    names = NamesInTable(table)
    sources = sources_of(request.sources, names)
    return answer(light_for(request.model_copy(update=names.of_limits(request)), sources, table))
