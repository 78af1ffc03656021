"""What has to be asked about rows that are valid: figures and words that look odd, gels that stand twice."""

from collections.abc import Sequence

from ...model import Known
from ...model.basis.base import name_key
from ..gel_layouts.columns import TakenColumn
from ..gel_layouts.questions import Answers
from ..vocabulary.gel_headings import GelColumn, squeezed
from ..vocabulary.gel_names import MINUS, PLUS, family_within, known_family, side_alone
from ..vocabulary.gel_strengths import is_far, nearest, nominal
from .draft_row import RowMaking, placed

_FIGURES = frozenset({"mired", "cc", "stops"})
_ALIKE = {"mired": 1.0, "cc": 0.5, "stops": 0.1}
"""How far two rows of one gel may differ by rounding. [MK⁻¹, CC, stop]"""
_SIDES = {
    **dict.fromkeys(("green", "grun", "vert", "verde", "groen", "zielony"), PLUS),
    **dict.fromkeys(("magenta", "pink"), MINUS),
}
"""What a gel that is called by its colour alone may be."""
_BESIDE = frozenset({GelColumn.UNUSED, GelColumn.NOTE})
"""Columns that may say in which size a gel comes, or where it lies."""


class RowDoubts:
    """Asks about the rows of one table; `twice` are the gels that stand in two sizes, or at two places.

    `confirmed` are the cells, by row and column, that somebody looked at.
    """

    def __init__(
        self, columns: Sequence[TakenColumn], confirmed: frozenset[tuple[int, int]], answers: Answers
    ) -> None:
        self._columns = columns
        self._confirmed = confirmed
        self._answers = answers
        self._stands: dict[str, RowMaking] = {}
        self.twice: list[str] = []

    def ask(self, makings: Sequence[RowMaking]) -> None:
        """Say of each row what is to be asked about it."""
        for making in makings:
            self._doubt(making)
            self._doubt_words(making)
            self._once(making)

    def _doubt(self, making: RowMaking) -> None:
        """Ask about a figure of another sign or size than the trade's gel of that name has."""
        gel = making.row.gel
        usual = nominal(gel.family, gel.fraction) if gel is not None else None
        labelled = bool(making.values.keys() & _FIGURES)
        if gel is None or usual is None or gel.known not in (None, Known.GENERIC, Known.MEASURED):
            return  # it is from its swatch book, or somebody taught it
        if gel.transmittance is not None and labelled:
            return  # a curve that contradicts its label is asked about by itself
        column, expected = usual
        said = getattr(gel, column.value)
        at = making.at.get(column.value) or making.at.get("family")
        if not said or at is None or (making.row.number, at.at) in self._confirmed:
            return
        if said * expected < 0:
            does = {"mired": ("warms", "cools"), "cc": ("adds green", "adds magenta")}[column.value]
            is_, reads = does if expected > 0 else does[::-1]
            likely = f"{abs(said) if expected > 0 else -abs(said):+g}" if column.value in making.at else ""
            says, allowed = f"{gel.name} {is_}; {said:+.3g} {reads}", f"{likely or 'another'}, or as it is"
        elif is_far(column, said, expected):
            likely = f"{expected:+.3g}" if column is not GelColumn.STOPS else f"{expected:.2g}"
            says = f"{gel.name} says {said:g} {column.value}, and most have about {expected:.3g}"
            allowed = "a figure nearer to that, or this one as it is"
            likely = ""
        else:
            return
        making.row.doubted = True
        making.row.wrong.append(placed(making.row.line, at.shown, says, allowed))
        making.row.likely[at.at] = (likely,) if likely else ()

    def _doubt_words(self, making: RowMaking) -> None:
        """Ask about a name of the trade with a word beside it that may be a strength which nobody knows."""
        gel, at = making.row.gel, making.at.get("family")
        if gel is None or at is None or known_family(gel.family):
            return
        if making.at.get("fraction") is not at:
            self._doubt_colour(making, at, whole=False)
            return
        known = family_within(gel.family) or side_alone(gel.family)
        if (making.row.number, at.at) in self._confirmed:
            return
        if known is None:
            self._doubt_colour(making, at)
            return
        fraction = gel.fraction if gel.fraction != "full" else nearest(known, gel.mired, gel.cc) or "full"
        likely = f"{known} {fraction}"
        says = f"{making.text(at)[:40]!r} has a word that is not a known strength"
        making.row.doubted = True
        making.row.wrong.append(placed(making.row.line, at.shown, says, f"{likely}, or as it is"))
        making.row.likely[at.at] = (likely,)

    def _doubt_colour(self, making: RowMaking, at: TakenColumn, *, whole: bool = True) -> None:
        """Ask about a gel that nobody knows of which only the light is told: it would pass for an ND."""
        gel = making.row.gel
        told = making.values.keys() & {"mired", "cc"}
        if (
            gel is None
            or told
            or gel.transmittance is not None
            or (making.row.number, at.at) in self._confirmed
        ):
            return
        making.row.doubted = True
        says = f"nothing says what {gel.name} does to the colour"
        making.row.wrong.append(
            placed(making.row.line, at.shown, says, "its mired or CC, or the row as it is")
        )
        side = _SIDES.get(squeezed(gel.family), "")
        making.row.likely[at.at] = (f"{side} {gel.fraction}" if whole else side,) if side else ()

    def _once(self, making: RowMaking) -> None:
        gel, row = making.row.gel, making.row
        if gel is None:
            return
        first = self._stands.setdefault(name_key(gel.name), making)
        if first is making:
            return
        if first.row.gel is not None and self._in_two_sizes(first, making):
            self.twice.append(f"{gel.name} on lines {first.row.line} and {row.line}")
            self._joined(first, making)
            return
        says = f"{gel.name} stands on line {first.row.line} and again on line {row.line}"
        making.refuse("", says, "each family and fraction once")
        row.gel = None

    def _in_two_sizes(self, first: RowMaking, second: RowMaking) -> bool:
        """Whether two rows say the same of a gel, and something else beside it: its size, or where it is."""
        one, two = first.row.gel, second.row.gel
        if one is None or two is None or one.transmittance != two.transmittance or one.on != two.on:
            return False
        pairs = ((getattr(one, name), getattr(two, name), most) for name, most in _ALIKE.items())
        same = all(a == b or (None not in (a, b) and abs(a - b) <= most) for a, b, most in pairs)
        beside = [c for c in self._columns if c.column in _BESIDE and c.wave is None and not c.asked]
        return same and (
            first.rolled != second.rolled
            or first.aside != second.aside
            or any(first.text(c) != second.text(c) for c in beside)
        )

    def _joined(self, first: RowMaking, second: RowMaking) -> None:
        """Make one gel of two rows, as was said; its sheets are not counted where those of one are not."""
        one, two = first.row.gel, second.row.gel
        if one is None or two is None:
            return
        second.row.gel = None
        if self._answers.twice == "add":
            counted = one.stock is not None and two.stock is not None
            first.row.gel = one.model_copy(
                update={"stock": (one.stock or 0) + (two.stock or 0) if counted else None}
            )
            first.row.notes.append(f"with line {second.row.line}")
        elif self._answers.twice == "last":
            first.row.gel = two
            first.row.notes[:] = [*second.row.notes, f"as on line {second.row.line}"]
