"""The measured lamps of the check, and lamps of formulas in files of the same form, for its tests."""

import numpy as np
import pytest

from advisor.colour.observer.data import published
from advisor.colour.observer.grid import lagrange
from advisor.colour.observer.loci import planckian
from tests.accuracy.lamps import INFO, SPECTRA, WAVELENGTHS, Lamp, NoData, lamps


@pytest.fixture(scope="session")
def odd() -> list[Lamp]:
    """The lamps of the odd rows, which are reported; without data their tests are skipped."""
    try:
        found = lamps()
    except NoData as no:
        pytest.skip(f"the accuracy check has no measured lamps: {no}")
    return [lamp for lamp in found if lamp.odd]


@pytest.fixture
def folder(tmp_path):
    rows = [
        ("1", " Even Planckian", "Incandescent/Filament", "Commercial", planckian(3000.0, WAVELENGTHS)),
        ("2", " Model of a lamp", "LED Phosphor", "Model", planckian(4000.0, WAVELENGTHS)),
        ("3", " Too warm", "Incandescent/Filament", "Commercial", planckian(1700.0, WAVELENGTHS)),
        ("4", " Street HPS", "High Intensity Discharge", "Commercial", planckian(2000.0, WAVELENGTHS)),
        ("5", " Green LED", "LED Mixed", "Experimental", np.exp(-(((WAVELENGTHS - 530) / 20) ** 2))),
        ("6", " CIE D Series 5000 K", "Mathematical", "Theoretical", planckian(5000.0, WAVELENGTHS)),
        ("7", " CIE F2 again", "Fluorescent Broadband", "Commercial", at_1_nm("FL2")),
    ]
    (tmp_path / INFO).write_text(
        "nr,name,type,category,\n" + "".join(f"{','.join(row[:4])},\n" for row in rows), encoding="latin-1"
    )
    np.savetxt(tmp_path / SPECTRA, np.column_stack([WAVELENGTHS, *(row[4] for row in rows)]), delimiter=",")
    return tmp_path


def at_1_nm(name):
    known = published(name)
    return np.maximum(lagrange(known.wavelengths, WAVELENGTHS) @ known.values, 0.0)
