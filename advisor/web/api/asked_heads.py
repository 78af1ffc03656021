"""Known heads that a program asks for: named by sources in place of a reading, and told."""

from collections.abc import Sequence

from ...imports.gels.asked_names import NamesInTable
from ...model import Refused, Source
from ...model.asked import AskedSource, HeadList, ListedKnownHead, ToldHead
from ...model.basis.base import name_key
from ...model.basis.problems import within
from ...model.sets.phrases import dial_said
from ...store.known_heads.known import HeadSummary, StoredHead
from ..state import state
from ..views.known_heads.on_set import tested_source

_OF_SOURCE = set(Source.model_fields)
_READINGS = {"reading", "readings"}


def with_light(asked: AskedSource) -> Source:
    """Return a source with its readings: its own, or those of the head that it names. Raises Refused."""
    if asked.head is None:
        return Source.model_construct(**{name: getattr(asked, name) for name in _OF_SOURCE})
    head = _head_of(asked.head)
    tested, _ = tested_source(head, state().heads.tests_of(head.id))
    readings = [*tested.readings, tested.reading]
    if asked.dial is not None:
        dialled = [r for r in readings if r.dial == asked.dial]
        if not dialled:
            says = f"{head.head.name} was not read with its dials at {dial_said(asked.dial)}"
            known = sorted({dial_said(r.dial) for r in readings if r.dial})
            raise Refused.one("dial", says, "one of: " + ", ".join(known) if known else "no dial")
        # The last reading counts, and so do the dials that it was taken at.
        readings = [*(r for r in readings if r.dial != asked.dial), *dialled]
    own = {name: getattr(asked, name) for name in asked.model_fields_set & _OF_SOURCE - _READINGS}
    return Source.model_validate({**dict(tested), **own, "reading": readings[-1], "readings": readings[:-1]})


def sources_of(asked: Sequence[AskedSource], names: NamesInTable) -> list[Source]:
    """Return the sources of a request, with their readings and with gels as the table calls them.

    Raises Refused, at the place of the source.
    """
    found = []
    for at, source in enumerate(asked):
        with within("sources", at):
            found.append(names.of_source(with_light(source)))
    return found


def head_list() -> HeadList:
    """Return the known heads, a line each."""
    return HeadList(heads=[_line(one) for one in state().heads.list_heads()])


def told_head(head_id: int) -> ToldHead:
    """Return a known head with all that was read of it; raises NotFound."""
    [filed] = state().heads.exchange.export([head_id]).heads
    return ToldHead(id=head_id, **dict(filed))


def _line(one: HeadSummary) -> ListedKnownHead:
    head = one.stored.head
    return ListedKnownHead(
        id=one.stored.id,
        name=head.name,
        kind=head.kind,
        group=head.group,
        tested_at=one.tested_at or None,
        readings=one.readings,
    )


def _head_of(named: int | str) -> StoredHead:
    """Return the head with an id or a name; raises Refused."""
    for one in state().heads.list_heads():
        if one.stored.id == named or (
            isinstance(named, str) and name_key(one.stored.head.name) == name_key(named.strip())
        ):
            return one.stored
    raise Refused.one("head", f"there is no head {named!r}", "an id or a name from GET /api/v1/heads")
