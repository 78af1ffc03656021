"""One box for what is pasted: readings, or spectra, which then stand for readings."""

import re

from ..model import Kind, Reading, Refused, Source
from .markup.web_page import is_web_page, page_lines
from .markup.xml_text import xml_lines
from .mixed import parted, together
from .read import read_text
from .readings.result import Answers, Paste, PastedRow
from .spectra.read import NamedSpectrum, holds_spectra, read_spectra
from .talk.listed import is_timed
from .text.decode import characters, is_chat

_LOOKED = 20_000
_HIGHEST_NM = 1300


def read_anything(data: str | bytes, answers: Answers | None = None) -> Paste:
    """Read a text of readings or of spectra; raises Refused as `read_readings` and `read_spectra` do.

    `answers` are what was chosen about a text of readings.
    """
    text = characters(data, where="text")
    text = _spectra_of_page(text) or text
    if _is_talk_or_page(text) or _is_timed_talk(text) or not holds_spectra(text):
        return read_text(text, answers)
    parts = parted(text)
    if parts is not None:
        spectra = [_row(i, found) for i, found in enumerate(read_spectra(parts[1]), 1)]
        both = together(parts[0], spectra, parts[1], answers)
        if both is not None:
            return both
    try:
        rows = [_row(i, found) for i, found in enumerate(read_spectra(text), 1)]
    except Refused:
        if (readings := _as_readings(text, answers)) is not None:
            return readings
        raise
    return Paste(rows=rows, columns=[], ignored=[])


def _spectra_of_page(text: str) -> str | None:
    """Return the lines of a web page that shows spectra; None of any other text."""
    if not text.lstrip().startswith("<") or not is_web_page(text) or "IESTM2714" in text:
        return None
    shown = "\n".join(page_lines(text).shown)
    return shown if holds_spectra(shown) else None


def _as_readings(text: str, answers: Answers | None) -> Paste | None:
    """Return what is no spectrum as readings, where every row of it is one with a name; None of any other."""
    try:
        paste = read_text(text, answers)
    except Refused:
        return None
    nameless = _holds_no_wavelength(text)
    whole = all(row.source is not None and (row.named or nameless) for row in paste.rows)
    return paste if paste.rows and whole else None


def _holds_no_wavelength(text: str) -> bool:
    """Whether each line begins with a number that is a CCT, and no wavelength: "5600 +.002"."""
    first = [re.match(r"\s*(\d{4,5})(?!\d)", line) for line in text[:_LOOKED].split("\n") if line.strip()]
    return all(found is not None and int(found[1]) > _HIGHEST_NM for found in first)


def _is_talk_or_page(text: str) -> bool:
    """Whether a text begins with a tag, and is no file of a spectrum for all that."""
    if not text.lstrip().startswith("<"):
        return False
    if is_chat(text) or (is_web_page(text) and "IESTM2714" not in text):
        return True
    return xml_lines(text) is not None


def _is_timed_talk(text: str) -> bool:
    """Whether a text is talk whose lines begin with times: "0715 window 7400" is no wavelength."""
    return is_timed(text[:_LOOKED].split("\n"))


def _row(number: int, found: NamedSpectrum) -> PastedRow:
    """Make a row of a spectrum; of figures that contradict themselves only the spectrum is kept."""
    figures: dict[str, object] = dict(found.figures)
    if ("cct" in figures) != ("duv" in figures):
        figures = {k: v for k, v in figures.items() if k not in ("cct", "duv")}
    if found.ssi:
        reference, value = next(iter(found.ssi.items()))
        figures |= {"ssi": value, "ssi_reference": reference}
    reading = Reading.model_validate({"spectrum": found.spectrum, **figures})
    source = Source(name=found.name, kind=Kind.UNKNOWN, reading=reading, note="; ".join(found.notes)[:500])
    span = f"{found.spectrum.start:g} to {found.spectrum.end:g} nm in steps of {found.spectrum.step:g} nm"
    text = f"{found.name}: spectrum, {span}"
    return PastedRow(line=number, text=text, source=source, problems=[], named=found.named)
