"""Readings for heads on which gel hangs: read behind it, or bare? That is asked before they are saved."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from ...model import Problem, Reading, Refused, Work
from ...model.sets.phrases import listed
from ...store import StoredSet, StoredSource
from ..plans.behind import behind, hanging, reads_like_behind, set_on_dials, works_found
from ..plans.kept import plan_for
from .entries import Entry


@dataclass(frozen=True)
class BehindQuestion:
    """The question for heads that get readings while gel hangs on them: read behind it, or bare?

    `heads` are these heads. `key` says what hangs on them, as an answer counts only while the same hangs.
    The answers are ``hung`` and ``bare``: `likely` is the one nearer to what was read, `answer` what was
    chosen, or `likely` where nothing was. `answered` tells whether somebody chose, for what hangs now.
    """

    heads: Sequence[StoredSource]
    key: str
    likely: str
    answer: str
    answered: bool

    def refused(self, says: str = "") -> Refused:
        """Return the refusal to save before the question is answered."""
        names = listed([stored.source.name for stored in self.heads])
        return Refused([say_behind(says or f"Gel hangs on {names}, so nothing is saved yet")])


def behind_question(
    owner: StoredSet, entries: Sequence[Entry], form: Mapping[str, str]
) -> BehindQuestion | None:
    """Return what to ask; None where no gel hangs on a head that gets readings."""
    read = [
        (e.into.id, [row.row.white for row in e.used if row.row.white]) for e in entries if e.into and e.used
    ]
    if not read:
        return None
    present = {stored.id: (i, stored) for i, stored in enumerate(owner.sources)}
    found = [(*present[n], whites) for n, whites in read if n in present and hanging(present[n][1])]
    if not found:
        return None
    plan = plan_for(owner)
    nearer = sum(1 if reads_like_behind(plan, i, whites) else -1 for i, _, whites in found)
    heads = list({stored.id: stored for _, stored, _ in found}.values())
    key = " | ".join(f"{stored.id}: {'; '.join(work.gels)}" for stored in heads if (work := hanging(stored)))
    likely = "hung" if nearer >= 0 else "bare"
    chosen = form.get("behind", "") if form.get("hung") == key else ""
    answered = chosen in ("hung", "bare")
    return BehindQuestion(heads, key, likely, chosen if answered else likely, answered)


def read_behind(
    asked: BehindQuestion | None, further: dict[int, list[Reading]]
) -> list[tuple[StoredSource, Work]]:
    """Mark the readings in `further`, by the source's id, that were taken behind what hangs.

    Return the sources that were read so, each with the work on it. Where the text says which gels a reading
    was taken behind, that stays. Raises Refused while the question is not answered.
    """
    if asked is None:
        return []
    if not asked.answered:
        raise asked.refused()
    hung: list[tuple[StoredSource, Work]] = []
    for stored in asked.heads if asked.answer == "hung" else ():
        work = hanging(stored)
        assert work is not None, "only heads on which gel hangs are asked about"
        further[stored.id] = [r if r.gels else behind(r, work) for r in further[stored.id]]
        hung.append((stored, work))
    return hung


def works_after(
    hung: Sequence[tuple[StoredSource, Work]], further: Mapping[int, list[Reading]]
) -> dict[int, tuple[Work, Work | None]]:
    """Return the work on sources that were read behind what hangs, as the readings leave it and as it was.

    Of a head whose dials are set, without gel, those that were taken bare are what it reads as it is set.
    """

    def read(now: StoredSource, work: Work) -> list[Reading]:
        return further[now.id] if work.gels else [r for r in further[now.id] if not r.gels]

    return {now.id: (works_found(now, work, read(now, work)), work) for now, work in hung}


def read_as_set(
    sources: Sequence[StoredSource], further: Mapping[int, list[Reading]]
) -> list[tuple[StoredSource, Work]]:
    """Return the sources with readings in `further` whose dials are set, without gel, each with its work."""
    found = [(now, set_on_dials(now)) for now in sources if now.id in further]
    return [(now, work) for now, work in found if work]


def say_behind(says: str) -> Problem:
    """Return a problem that the page shows beside the question."""
    return Problem(where="behind", says=says, allowed="say whether it was read behind the gel, or bare")
