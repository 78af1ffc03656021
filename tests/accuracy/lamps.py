"""The measured lamps of the check: found on disk or fetched, read, and named by the advisor's kinds.

The spectra are luxpy's copy of the IES TM-30-15 library of 318 light sources: two data files of its
wheel, IESTM30_15_Sspds.dat and IESTM30_15_Sinfo.txt. luxpy is under the GPL. Its wheel is downloaded as
any user's pip would do it and the two files are read; it is never installed, imported or committed.
"""

import csv
import shutil
import subprocess
import sys
import tempfile
import zipfile
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path

import numpy as np

from advisor.colour.observer.cct import cct_duv_of_uv
from advisor.colour.observer.chromaticity import uv_of_xyz
from advisor.colour.observer.data import Array, observer
from advisor.colour.rendering.rendition import colour_rendering
from advisor.model import Kind

PACKAGE = "luxpy==1.12.5"
SPECTRA, INFO = "IESTM30_15_Sspds.dat", "IESTM30_15_Sinfo.txt"
CACHE = Path(__file__).parent / ".cache"
WAVELENGTHS: Array = np.arange(380.0, 781.0)
"""Where the lamps were measured, and where the truth is worked out. [nm]"""
CCT_FROM, CCT_TO, MOST_DUV = 1800.0, 12000.0, 0.03
"""The whites that the check is about; lamps beyond are left out."""

_KINDS = {
    "LED Phosphor": Kind.LED_WHITE,
    "LED Hybrid": Kind.LED_WHITE,
    "LED Mixed": Kind.LED_MIX,
    "Fluorescent Broadband": Kind.FLUORESCENT,
    "Fluorescent Narrowband": Kind.FLUORESCENT_TRIBAND,
    "High Intensity Discharge": Kind.DISCHARGE,
    "Incandescent/Filament": Kind.TUNGSTEN,
    "Mathematical": Kind.UNKNOWN,
    "Other": Kind.UNKNOWN,
}
_NAMED = (
    ("HPS", Kind.SODIUM),
    ("sodium", Kind.SODIUM),
    ("CIE D Series", Kind.DAYLIGHT),
    ("Planckian", Kind.TUNGSTEN),
)
"""What a lamp's name says more exactly than its type."""


class NoData(Exception):
    """The two files are not at hand and could not be fetched; says what to do."""


@dataclass(frozen=True, eq=False)
class Lamp:
    """A lamp as measured: `power` (401,) at WAVELENGTHS, and what a meter would print of it.

    `theoretical` lamps were computed.
    """

    number: int
    name: str
    kind: Kind
    theoretical: bool
    power: Array
    uv: Array
    cct: float
    duv: float

    @property
    def ra(self) -> int:
        """Ra as a whole number, as on a meter's display."""
        return self._figures[0]

    @property
    def r9(self) -> int:
        """R9 as a whole number, as on a meter's display."""
        return self._figures[1]

    @cached_property
    def _figures(self) -> tuple[int, int]:
        """Worked out where they are asked for: that takes thirty times as long as all the rest."""
        ra, special = colour_rendering(self.power, WAVELENGTHS)
        return round(ra), round(special[8])

    @property
    def odd(self) -> bool:
        """Whether the check may report it: the advisor was tuned on the even rows."""
        return self.number % 2 == 1


def lamps(given: Path | None = None) -> list[Lamp]:
    """Return the lamps of the check, in the files' order.

    The files are taken from the folder `given`, else from the cache, else by pip. Raises NoData.
    """
    folder = given or CACHE
    missing = [name for name in (SPECTRA, INFO) if not (folder / name).is_file()]
    if missing and given:
        raise NoData(f"{given} holds no {' and no '.join(missing)}; name the folder with both, or none")
    if missing:
        _fetch(folder)
    return read(folder)


def read(folder: Path) -> list[Lamp]:
    """Read the two files, and leave out what is no part of the check."""
    table = np.loadtxt(folder / SPECTRA, delimiter=",")
    with (folder / INFO).open(encoding="latin-1", newline="") as file:
        rows = list(csv.DictReader(file))
    if table.shape != (len(WAVELENGTHS), len(rows) + 1) or not np.array_equal(table[:, 0], WAVELENGTHS):
        raise NoData(f"{folder / SPECTRA} does not hold the lamps of {INFO} at 380 to 780 nm; delete both")
    found = (_lamp(row, power) for row, power in zip(rows, table[:, 1:].T, strict=True))
    return [lamp for lamp in found if lamp is not None]


def uv_at_1_nm(power: Array) -> Array:
    """Return (u, v), (..., 2), of spectra (..., 401), plainly summed at 1 nm."""
    return uv_of_xyz(power @ observer_at_1_nm())


def observer_at_1_nm() -> Array:
    """Return the colour-matching functions at WAVELENGTHS, (401, 3)."""
    fine = observer()
    return fine.values[np.isin(fine.wavelengths, WAVELENGTHS)]


def _lamp(row: dict[str, str], power: Array) -> Lamp | None:
    number, name, type_, category = (row[k].strip() for k in ("nr", "name", "type", "category"))
    uv = uv_at_1_nm(power)
    cct, duv = (float(v) for v in cct_duv_of_uv(uv))
    # The rows marked Model are what the advisor's archetypes are made of. NaN is out of range too.
    if category == "Model" or not (CCT_FROM <= cct <= CCT_TO and abs(duv) <= MOST_DUV):
        return None
    kind = next((kind for word, kind in _NAMED if word in name), _KINDS[type_])
    return Lamp(
        number=int(number),
        name=name,
        kind=kind,
        theoretical=category == "Theoretical",
        power=power,
        uv=uv,
        cct=cct,
        duv=duv,
    )


def _fetch(folder: Path) -> None:
    with tempfile.TemporaryDirectory() as passing:
        pip: Sequence[str] = (sys.executable, "-m", "pip", "download", "--no-deps", "--only-binary", ":all:")
        try:
            done = subprocess.run(
                [*pip, "--quiet", "--dest", passing, PACKAGE], capture_output=True, text=True, timeout=600
            )
        except subprocess.TimeoutExpired:
            raise NoData(f"pip did not fetch {PACKAGE} in ten minutes; use --data FOLDER") from None
        wheels = list(Path(passing).glob("*.whl"))
        if done.returncode or len(wheels) != 1:
            reason = (done.stderr.strip().splitlines() or ["no reason given"])[-1]
            raise NoData(f"pip could not fetch {PACKAGE} ({reason}); go online, or use --data FOLDER")
        folder.mkdir(exist_ok=True)
        with zipfile.ZipFile(wheels[0]) as wheel:
            for name in (SPECTRA, INFO):
                (partial := Path(passing) / name).write_bytes(wheel.read(f"luxpy/data/spds/{name}"))
                shutil.move(partial, folder / name)
