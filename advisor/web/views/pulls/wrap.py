"""The end of a day: what comes down, head by head, and what of it is down."""

from collections import Counter
from dataclasses import dataclass

from ....advice.wording.cautions import Caution, cautions
from ....model import Stage, Work
from ....model.sets.phrases import counted, grouped, listed
from ....store import StoredSet
from ...wording.values import capitalize_first, gel


@dataclass(frozen=True)
class HeadToStrip:
    """A head of a wrapped set: its source's id, number and name, the gels that hung, and if they are down."""

    id: int
    number: int
    name: str
    gels: str
    down: bool


@dataclass(frozen=True)
class WrapPage:
    """What comes down: `heading` counts the heads, `sheets` says what goes back to the truck in all."""

    heading: str
    sheets: str
    rows: tuple[HeadToStrip, ...]
    cautions: tuple[Caution, ...]


def wrap_page(now: StoredSet) -> WrapPage:
    """Return what comes down on a wrapped set, in the order of the walk."""
    stored = [now.sources[index] for index in now.walked if now.sources[index].source.hanging]
    rows = tuple(
        HeadToStrip(
            one.id,
            one.number,
            one.source.name,
            capitalize_first(listed(grouped([gel(name) for name in one.source.hanging or []]))),
            one.number in now.down,
        )
        for one in stored
    )
    left = sum(not row.down for row in rows)
    sheets = Counter(gel(name) for one in stored for name in one.source.hanging or [])
    return WrapPage(
        heading=f"Wrap: {counted(left, 'head')} to strip" if left else "Wrapped: all is down",
        sheets=f"{capitalize_first(listed(grouped(list(sheets.elements()))))}." if sheets else "",
        rows=rows,
        cautions=tuple(cautions([one.source for one in stored], now.hidden_cautions)),
    )


def to_hang_again(work: Work) -> Work:
    """Return the work on a head whose gel came down at the wrap: it is planned, as it hung."""
    kept: dict[str, object] = {
        "stage": Stage.PLANNED,
        "instead": None,
        "read_behind": None,
        "read_elsewhere": [],
    }
    return work.model_copy(update={**kept, "reused": []})
