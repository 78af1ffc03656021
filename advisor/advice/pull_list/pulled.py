"""What of a list is off the truck already: kept as texts, so that a tick holds for that amount alone."""

from collections.abc import Collection
from dataclasses import dataclass

from ...model.gels.formats import ComesAs
from .lines import GelPull, PullList


@dataclass(frozen=True)
class Progress:
    """How many of the lines of a list are pulled."""

    done: int
    of: int


def key_of(line: GelPull) -> str:
    """Return the text that says that a line is pulled: its gel, what it is cut from, and how much.

    “CTO 1/4: 2 Sheet”. If more is needed later, the text is another one, and the line is to be pulled again.
    It is stored, and no page shows it: other words would lose the ticks of sets that are kept.
    """
    units = f"{line.still.length:.1f} m" if line.size.form is ComesAs.ROLL else f"{line.still.units}"
    return f"{line.name}: {units} {line.size.name}" if line.to_cut else f"{line.name}: re-used"


def progress(pulls: PullList, pulled: Collection[str]) -> Progress:
    """Count the lines to pull that are pulled."""
    lines = pulls.still + pulls.again
    return Progress(sum(key_of(line) in pulled for line in lines), len(lines))
