"""Pasted text and files, turned into readings, spectra and gels: text or bytes in, model objects out."""

from .anything import read_anything
from .gels.csv_table import read_gels, write_gels
from .read import read_readings
from .readings.result import Paste, PastedRow, Understood
from .spectra.read import NamedSpectrum, read_spectra, sniff
from .template import TEMPLATE

__all__ = [
    "TEMPLATE",
    "NamedSpectrum",
    "Paste",
    "PastedRow",
    "Understood",
    "read_anything",
    "read_gels",
    "read_readings",
    "read_spectra",
    "sniff",
    "write_gels",
]
