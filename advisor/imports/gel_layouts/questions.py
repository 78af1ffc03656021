"""What has to be asked about a whole gel table before it is taken: signs, scales, rolls, unknown columns."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from math import log10
from statistics import median

from ..vocabulary.gel_headings import GelColumn
from ..vocabulary.gel_names import understand_name
from ..vocabulary.gel_strengths import nominal
from .columns import TakenColumn
from .figures import figure, is_nothing
from .layout import GelLayout

_LOOKED_AT = 500
_FEWEST = 2


@dataclass(frozen=True)
class GelQuestion:
    """A question about a table: its key, what is read, and the answers by their keys, the likeliest first."""

    key: str
    says: str
    ways: Mapping[str, str]

    @property
    def likeliest(self) -> str:
        """The key of the likeliest answer."""
        return next(iter(self.ways))


@dataclass(frozen=True)
class Answers:
    """What somebody said, by the keys of the questions; what nobody said is as it is written."""

    said: Mapping[str, str]

    def column(self, at: int) -> GelColumn | None:
        """Return what a column (from 0) is said to hold; None where nobody said so."""
        said = self.said.get(f"column {at + 1}", "")
        return GelColumn(said) if said in set(GelColumn) else None

    def sign(self, name: str) -> str:
        """How the signs of a figure are to be taken: ``turned``, ``by name``, or ``written``."""
        return self.said.get(f"sign {name}", "written")

    def scale(self, name: str) -> float:
        """By what a figure is to be multiplied."""
        return {"10": 10.0, "100": 100.0, "1000": 1000.0, "0.1": 0.1}.get(
            self.said.get(f"scale {name}", ""), 1.0
        )

    @property
    def figures(self) -> bool:
        """Whether a row without figures has those of the table in force."""
        return self.said.get("figures", "base") == "base"

    @property
    def stocks(self) -> str:
        """What sheets in several columns come to: ``add``, or those of the ``first`` or the ``last``."""
        return self.said.get("stock", "add")

    @property
    def twice(self) -> str:
        """What a gel comes to that stands in two sizes: ``add``, or the ``first`` row or the ``last``."""
        return self.said.get("twice", "add")

    @property
    def rolls(self) -> str:
        """What a roll counts as: ``plenty`` or ``sheets``."""
        return self.said.get("rolls", "plenty")


def questions_about(columns: Sequence[TakenColumn], layout: GelLayout, mark: str | None) -> list[GelQuestion]:
    """Return what has to be asked, also what was answered."""
    found = [*_columns(columns)]
    for name in (GelColumn.MIRED, GelColumn.CC):
        found += _figures(name, columns, layout, mark)
    return [*found, *_stocks(columns, layout), *_rolls(columns, layout, mark)]


def _columns(columns: Sequence[TakenColumn]) -> Iterator[GelQuestion]:
    for column in columns:
        if column.asked:
            likeliest = column.column.value
            rest = [c.value for c in GelColumn if c.value != likeliest]
            yield GelQuestion(
                f"column {column.at + 1}", column.asked, {way: way for way in (likeliest, *rest)}
            )


def _figures(
    name: GelColumn, columns: Sequence[TakenColumn], layout: GelLayout, mark: str | None
) -> Iterator[GelQuestion]:
    """Ask about a column whose signs or sizes are not those of the gels that its rows name."""
    told = [c for c in columns if c.column is name]
    if len(told) != 1:
        return
    ratios: list[float] = []
    written: list[float] = []
    for row in layout.rows[:_LOOKED_AT]:
        usual, said = _named(row.cells, columns), _said(row.cells, told[0], mark)
        if said:
            written.append(said)
        if usual is not None and usual[0] is name and said:
            ratios.append(said / usual[1])
    if len(ratios) < _FEWEST:
        return
    wrong = sum(r < 0 for r in ratios)
    if wrong == len(ratios):
        plus, minus = ("warmer", "cooler") if name is GelColumn.MIRED else ("greener", "more magenta")
        ways = {"turned": f"+ is {minus}: turn the signs", "written": f"+ is {plus}: as it is written"}
        yield GelQuestion(
            f"sign {name.value}", f"{told[0].shown}: every sign is against the gel's name", ways
        )
    elif wrong and (min(written) >= 0 or max(written) <= 0):
        ways = {"by name": "take each sign from the gel's name", "written": "as it is written"}
        yield GelQuestion(f"sign {name.value}", f"{told[0].shown}: the figures have no signs", ways)
    power = round(-log10(median(abs(r) for r in ratios)))
    if power in (1, 2, 3, -1) and name.value in ("mired", "cc"):
        factor = f"{10.0**power:g}"
        ways = {factor: f"× {factor}", "1": "as it is written"}
        yield GelQuestion(
            f"scale {name.value}", f"{told[0].shown}: the figures are far from the usual ones", ways
        )


def _named(cells: Sequence[str], columns: Sequence[TakenColumn]) -> tuple[GelColumn, float] | None:
    parts = {c.column: cells[c.at] for c in columns if c.at < len(cells)}
    words = [parts.get(c, "") for c in (GelColumn.NAME, GelColumn.FAMILY, GelColumn.FRACTION)]
    name = understand_name(" ".join(w for w in words if w))
    return nominal(name.family, name.fraction or "full") if name is not None else None


def _said(cells: Sequence[str], column: TakenColumn, mark: str | None) -> float:
    found = figure(cells[column.at], column.meant, mark) if column.at < len(cells) else None
    return found.value or 0.0 if found is not None else 0.0


def _stocks(columns: Sequence[TakenColumn], layout: GelLayout) -> Iterator[GelQuestion]:
    """Ask about two columns that both count sheets."""
    told = [c for c in columns if c.column is GelColumn.STOCK]
    for row in layout.rows[:_LOOKED_AT] if len(told) > 1 else ():
        filled = [c for c in told if c.at < len(row.cells) and not is_nothing(row.cells[c.at])]
        if len(filled) > 1:
            names = " and ".join(repr(c.shown[:30]) for c in filled)
            ways = {"add": "add them", "first": f"only {filled[0].shown[:30]}"}
            yield GelQuestion(
                "stock", f"{names} count sheets", ways | {"last": f"only {filled[-1].shown[:30]}"}
            )
            return


def _rolls(columns: Sequence[TakenColumn], layout: GelLayout, mark: str | None) -> Iterator[GelQuestion]:
    stock = [c for c in columns if c.column in (GelColumn.STOCK, GelColumn.ROLLS)]
    for row in layout.rows[:_LOOKED_AT]:
        for column in stock:
            found = figure(row.cells[column.at], column.meant, mark) if column.at < len(row.cells) else None
            if found is not None and found.field == "rolls":
                ways = {"plenty": "plenty: the sheets are not counted", "sheets": "count a roll as one sheet"}
                yield GelQuestion(
                    "rolls", f"{row.cells[column.at].strip()[:20]}: how many sheets is that?", ways
                )
                return
