"""Tags to print and stick on heads: what hangs, and what it was decided from."""

from collections.abc import Mapping
from dataclasses import dataclass

from ....advice.plan.head import PlannedSource
from ....advice.plan.plan import Plan
from ....advice.wording.cautions import cautions
from ....store import StoredSet
from ...plans.since import Since
from ...wording.sources import stood
from ...wording.stacks import head_outlook
from ...wording.values import breakable, capitalize_first, gel
from ...wording.work import on_paper
from ..heads import Light, doubts_said, light_after


@dataclass(frozen=True)
class Answer:
    """What a tag says beside the name: what to hang, and how good that is.

    `gels` are the layers to draw. `reads` is the bare light; `about` that it was worked out, not read.
    """

    what: str
    why: Since | None
    gels: tuple[str, ...]
    after: Light
    reads: Light
    about: bool
    conditions: str
    match: str
    lost: float
    again: str

    @property
    def read_verb(self) -> str:
        """The word before the bare white."""
        return "About" if self.about else "Read"


@dataclass(frozen=True)
class Tag:
    """A head's tag; `answer` is None where nothing can be advised.

    `mind` is what can hurt the hands at it, in a few words each; empty where nothing is known to.
    """

    number: int
    name: str
    answer: Answer | None
    mind: str


def view_of(now: StoredSet, plan: Plan, since: Mapping[int, Since]) -> tuple[Tag, ...]:
    """Return a tag a head; `since` says why what was decided is not what is advised."""
    return tuple(
        Tag(
            stored.number,
            stored.source.name,
            _answer(head, since.get(stored.id), doubts_said(plan, i)),
            " ".join(one.at_the_head for one in cautions([stored.source]) if one.at_the_head),
        )
        for i, (stored, head) in enumerate(zip(now.sources, plan.heads, strict=True))
    )


def _answer(head: PlannedSource, why: Since | None, doubts: str) -> Answer | None:
    after, white = light_after(head), head.white
    if head.best is None or after is None or white is None:
        return None
    return Answer(
        what=on_paper(head),
        why=why,
        gels=tuple(breakable(gel(name)) for name in head.best.gels) if head.answered else (),
        after=after,
        reads=Light(white.cct, white.duv),
        about=head.worked_out,
        conditions=stood(head.source.reading),
        match=capitalize_first(head_outlook(head)) + doubts,
        lost=head.lost,
        again=head.again,
    )
