"""A reading that was taken otherwise than its source is used: said, with the way to use it so."""

from dataclasses import dataclass

from ...advice.readings.behind_gels import Conditions, stand_in_use
from ...model import Reading, Source
from .values import plain


@dataclass(frozen=True)
class Otherwise:
    """How the last reading was taken: in `words`, on the button that uses it so (`use`), and as fields."""

    words: str
    use: str
    level: str
    modifier: str


def read_otherwise(source: Source, last: Reading | None) -> Otherwise | None:
    """Return how the last reading was taken, where the source is not used so; None where it is."""
    used = stand_in_use(source)
    if last is None or (was := Conditions(last.level, last.modifier)).agrees(used):
        return None
    how = was.beside(used)
    as_read = source.modifier is None and last.modifier.casefold() == used.modifier.casefold()
    return Otherwise(
        words=f"The last reading was {how}; it is used {used.beside(was)}.",
        use=f"Use it {how}",
        level=plain(source.level if last.level is None else last.level),
        modifier="as-read" if as_read else f"with:{last.modifier}",
    )
