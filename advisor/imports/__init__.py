"""Pasted text and files, turned into readings and gels. Pure: text or bytes in, model objects out."""

from .gel_csv import read_gels, write_gels
from .paste import Paste, PastedRow, Understood
from .readings import read_readings
from .template import TEMPLATE

__all__ = ["TEMPLATE", "Paste", "PastedRow", "Understood", "read_gels", "read_readings", "write_gels"]
