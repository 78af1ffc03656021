"""The files beside a gel table: a measured transmittance each, as two columns of CSV."""

from collections.abc import Iterator, Mapping
from pathlib import Path

from ..model import Gel, GelTable, Refused, Transmittance
from ..model.base import name_key
from .text import LIMIT
from .transmittance import read_transmittance

_LONGEST_NAME = 255
_MOST_NAMED = 6


def curve_file(gel: Gel) -> str:
    """Name the file of a gel's transmittance: ``CTO 1-4.csv`` for CTO 1/4."""
    return gel.name.replace("/", "-") + ".csv"


def write_curves(table: GelTable) -> dict[str, str]:
    """Write the transmittances of a table, by the file names that `write_gels` gives them.

    Two columns, wavelength [nm] and transmittance (0 to 1), which `read_transmittance` reads back.
    """
    return {curve_file(g): _written(g.transmittance) for g in table.rows if g.transmittance is not None}


def _written(curve: Transmittance) -> str:
    rows = (f"{curve.start + i * curve.step:.10g},{v!r}" for i, v in enumerate(curve.values))
    return "\r\n".join(("wavelength,transmittance", *rows, ""))


def is_plain_name(name: str) -> bool:
    """Whether a name is that of a file, and no path: nothing of it can lead out of its folder."""
    signs = any(c in "/\\:" or not c.isprintable() for c in name)
    return bool(name.strip(". ")) and not signs and len(name) <= _LONGEST_NAME


class Curves:
    """The transmittances that a table's rows name, each read once. `beside` is what can be named."""

    def __init__(self, beside: Mapping[str, bytes | str]) -> None:
        self._beside = beside
        self._read: dict[str, Transmittance] = {}

    def read(self, name: str) -> Transmittance:
        """Return the transmittance in a file; raises Refused, with the file's name in what it says."""
        if name not in self._read:
            data = self._find(name)
            try:
                self._read[name] = read_transmittance(data)
            except Refused as no:
                told = [p.model_copy(update={"says": _told(name, p.where, p.says)}) for p in no.problems]
                raise Refused(told) from None
        return self._read[name]

    def _find(self, name: str) -> bytes | str:
        if not is_plain_name(name):
            raise Refused.one(
                "", f"spectrum {name[:60]!r} is no plain file name", "the name alone, no folder"
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
