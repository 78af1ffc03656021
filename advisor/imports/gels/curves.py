"""The files beside a gel table: a measured transmittance each, as two columns of CSV."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from ...model import Gel, GelTable, Problem, Refused, Transmittance
from ...model.basis.base import name_key
from ..text.decode import LIMIT
from .transmittance import CurveAs, MeasuredCurve, headed, read_curve

_LONGEST_NAME = 255
_MOST_NAMED = 6


def curve_file(gel: Gel) -> str:
    """Name the file of a gel's transmittance: ``CTO 1-4.csv`` for CTO 1/4."""
    return gel.name.replace("/", "-") + ".csv"


def write_curves(table: GelTable) -> dict[str, str]:
    """Write the transmittances of a table, by the file names that `write_gels` gives them.

    Two columns, wavelength [nm] and transmittance (0 to 1), which `read_curve` reads back.
    """
    return {curve_file(g): _written(g.transmittance) for g in table.rows if g.transmittance is not None}


def _written(curve: Transmittance) -> str:
    rows = (f"{curve.start + i * curve.step:.10g},{v!r}" for i, v in enumerate(curve.values))
    return "\r\n".join(("wavelength,transmittance", *rows, ""))


def is_plain_name(name: str) -> bool:
    """Whether a name is that of a file, and no path: nothing of it can lead out of its folder."""
    signs = any(c in "/\\:" or not c.isprintable() for c in name)
    return bool(name.strip(". ")) and not signs and len(name) <= _LONGEST_NAME


@dataclass(frozen=True)
class DoubtfulCurve:
    """A curve that has to be asked about: where, of which gel, why, and what each way to take it would do."""

    where: str
    gel: str
    says: str
    ways: Mapping[str, str]
    likeliest: str


class CurvesInDoubt(Refused):
    """A table that is right, but for curves of which nobody said how to take them."""

    def __init__(self, curves: Sequence[DoubtfulCurve]) -> None:
        super().__init__([Problem(where=c.where, says=f"{c.gel}: {c.says}", allowed=_TAKE) for c in curves])
        self.curves = list(curves)


_TAKE = "a curve that agrees with its label, or the label alone. Or say how to take it"
Check = Callable[[Sequence[Gel]], Sequence[Gel | Refused]]
"""What to take for each row; Refused, at a column, where nothing can do what it says."""
Ask = Callable[[Gel, MeasuredCurve], tuple[str, Mapping[str, str], str] | None]
"""What has to be asked about a gel's curve: why, what each way to take it would do, and the likeliest way."""


_NOTHING: Mapping[str, CurveAs] = {}


class Curves:
    """The curves that a table's rows name, each read once.

    `beside` is what can be named. `take` says by a gel's name how to take its curve; of the others `ask` says
    whether somebody has to say so first, and `doubtful` are those of which it does.
    """

    def __init__(
        self,
        beside: Mapping[str, bytes | str],
        ask: Ask | None = None,
        take: Mapping[str, CurveAs] = _NOTHING,
    ) -> None:
        self._beside = beside
        self._within: dict[str, bytes | str] = {}
        self._ask = ask
        self._take = take
        self.doubtful: list[DoubtfulCurve] = []
        self._read: dict[str, MeasuredCurve] = {}

    def add(self, name: str, text: str) -> None:
        """Put a curve that stands in the table's own text beside it, under a name."""
        self._within[name] = text

    def read(self, name: str) -> MeasuredCurve:
        """Return the curve in a file; raises Refused, with the file's name in what it says."""
        if name not in self._read:
            data = self._find(name)
            try:
                self._read[name] = read_curve(data)
            except Refused as no:
                told = [p.model_copy(update={"says": _told(name, p.where, p.says)}) for p in no.problems]
                raise Refused(told) from None
        return self._read[name]

    def settle(self, gel: Gel, name: str, where: str) -> Gel:
        """Return a row with the curve in a file, taken as was said; raises Refused where it cannot be."""
        curve = self.read(name)
        way = self._take.get(gel.name)
        if way is CurveAs.LABEL:
            if not (gel.mired or gel.cc or gel.stops):
                raise Refused.one("spectrum", f"{gel.name} has no label to keep", "one of the curve's ways")
            return gel.model_copy(update={"transmittance": None})
        if way is None and self._ask and (asked := self._ask(gel, curve)):
            doubt = DoubtfulCurve(where, gel.name, *asked)
            self.doubtful.append(doubt)
            tried = curve.ways.get(CurveAs(doubt.likeliest))  # what it comes to, until somebody says
            return gel.model_copy(update={"transmittance": tried})
        if way is None and curve.density:
            raise Refused.one("spectrum", f"{name[:60]}: {headed(curve)}", "transmittance, T = 10^−D")
        if way is not None and way not in curve.ways:
            says = f"{name[:60]} cannot be {way.value}"
            raise Refused.one("spectrum", says, "the curve as it was measured")
        return gel.model_copy(update={"transmittance": curve.ways[way] if way else curve.first})

    def without(self, name: str, gel: str, where: str, no: Refused) -> bool:
        """Whether a row goes without its curve in the table's own text, which cannot be read; and ask it."""
        if name not in self._within:
            return False
        if self._take.get(gel) is not CurveAs.LABEL:
            says = f"its curve cannot be read ({no.problems[0].says.rpartition(': ')[2]})"
            ways = {CurveAs.LABEL.value: "as its row says"}
            self.doubtful.append(DoubtfulCurve(where, gel, says, ways, CurveAs.LABEL.value))
        return True

    def _find(self, name: str) -> bytes | str:
        if name in self._within:
            return self._within[name]
        if not is_plain_name(name):
            raise Refused.one(
                "", f"spectrum {name[:60]!r} is not a plain file name", "the name alone, no folder"
            )
        if name in self._beside:
            return self._beside[name]
        # Letter case and the composition of accents change from one computer to the next.
        near = [n for n in self._beside if name_key(n) == name_key(name)]
        if len(near) == 1:
            return self._beside[near[0]]
        says = f"the file {name[:60]!r} is not beside the table"
        raise Refused.one("", says, self._allowed())

    def _allowed(self) -> str:
        names = sorted(self._beside)
        if not names:
            return "the file given together with the table, or the cell left empty"
        return f"one of {', '.join(names[:_MOST_NAMED])}{', …' if len(names) > _MOST_NAMED else ''}, or empty"


def _told(name: str, where: str, says: str) -> str:
    return f"{name[:60]}, {where}: {says}" if where else f"{name[:60]}: {says}"


class Folder(Mapping[str, bytes]):
    """The files of a folder by their names, each read when it is asked for."""

    def __init__(self, path: Path) -> None:
        self._path = path

    def __getitem__(self, name: str) -> bytes:
        path = self._path / name
        if not is_plain_name(name) or not path.is_file():
            raise KeyError(name)
        try:
            with path.open("rb") as file:
                return file.read(LIMIT + 1)  # one byte too many is enough to refuse it
        except OSError as error:
            says = f"the file {name[:60]!r} cannot be read: {error.strerror}"
            raise Refused.one("", says, "a file that this user may read") from None

    def __contains__(self, name: object) -> bool:
        return isinstance(name, str) and is_plain_name(name) and (self._path / name).is_file()

    def __iter__(self) -> Iterator[str]:
        return (p.name for p in self._path.iterdir() if p.is_file())

    def __len__(self) -> int:
        return sum(1 for _ in self)
