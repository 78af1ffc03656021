"""A head whose lamp is out: it gives no light, nobody touches it, and what hangs on it stays up."""

from collections.abc import Sequence

from ...model import Source, WantedOffset


def left_while_out(sources: Sequence[Source]) -> list[Source]:
    """Return sources, those whose lamp is out as if they were left alone: with what hangs, and no plan."""
    return [_left(source) if source.lamp_out else source for source in sources]


def _left(source: Source) -> Source:
    work = source.work if source.work and source.work.hangs else None
    stays = work.model_copy(update={"instead": None}) if work else None
    return source.model_copy(update={"aim": WantedOffset(leave=True), "work": stays})
