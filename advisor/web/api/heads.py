"""Known heads for programs: listed, told whole, and tested."""

from flask.typing import ResponseReturnValue

from ...model.asked import TestedHead
from ...store.file.database import utc_now
from ..access.sessions import person
from ..state import state
from .asked_heads import head_list, told_head
from .calls import answer, asked, blueprint


@blueprint.get("/heads")
def get_heads() -> ResponseReturnValue:
    """List the known heads."""
    return answer(head_list())


@blueprint.get("/heads/<int:head_id>")
def get_head(head_id: int) -> ResponseReturnValue:
    """Tell all that is known of a head."""
    return answer(told_head(head_id))


@blueprint.post("/heads")
def post_test() -> ResponseReturnValue:
    """Keep a test of a head."""
    tested = asked(TestedHead)
    head_id = state().heads.exchange.add(tested.filed(utc_now(), person().name))
    return answer(told_head(head_id))
