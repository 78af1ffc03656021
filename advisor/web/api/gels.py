"""The gel table for programs."""

from collections.abc import Sequence

from flask.typing import ResponseReturnValue

from ...advice.stacks.gel_arrays import revision_of
from ...model import Gel
from ...model.told import GelList, ListedGel
from ..state import gels_in_force
from .calls import answer, blueprint


@blueprint.get("/gels")
def get_gels() -> ResponseReturnValue:
    """List the gels of the table in force."""
    return answer(gel_list(gels_in_force()))


def gel_list(gels: Sequence[Gel]) -> GelList:
    """Return the rows of a table, as they are told."""
    return GelList(revision=revision_of(gels), gels=[_line(gel) for gel in gels])


def _line(gel: Gel) -> ListedGel:
    return ListedGel(
        **{name: getattr(gel, name) for name in ListedGel.model_fields if name in Gel.model_fields},
        name=gel.name,
        measured=gel.transmittance is not None,
    )
