"""Pasted text or an uploaded file to spectra: columns, rows, or ANSI/IES TM-27-14."""

from typing import Literal

from pydantic import Field

from ...model import Refused, Spectrum
from ...model.basis.base import Model, Name
from ..read import read_readings
from ..text.decode import characters, refuse_web_page
from ..vocabulary.headings import NUMERIC, understand
from .columns import MOST_SPECTRA, SpectralColumns, find_columns, spectra_in_columns
from .figures import UNNAMED, UncheckedSpectrum
from .json_spectra import spectral_lines, with_figures
from .long_form import find_long, spectra_in_long
from .ranged import plain_lines
from .rows import Wavelengths, find_wavelengths, spectra_in_rows
from .samples import MOST, to_spectrum
from .shapes import blocks_of, parts_of, with_decimal_commas, without_colons, without_signs
from .tm27 import read_tm27

_WHERE = "text"
_ALLOWED = (
    "two columns, wavelength in nm and value. One column more for each further spectrum. Or a line of "
    "wavelengths with a row of values beneath it. Or an ANSI/IES TM-27-14 file"
)
_SNIFFED_LINES = 300
_MOST_NOTES = 20


class NamedSpectrum(Model):
    """A spectrum of a text, in even steps of 1 to 20 nm.

    `notes` say what was done to the samples, in words for a person. `figures` are those that the text
    gives beside it, by `cct` [K], `duv`, `lux` [lx], `ra`, `r9`, `rf`, `rg`; `ssi` by reference, such as
    ``P3200``. They are the meter's own, and not worked out here. It is `named` where the text names it.
    """

    name: Name
    spectrum: Spectrum
    notes: list[str] = Field(default_factory=list)
    figures: dict[str, float] = Field(default_factory=dict)
    ssi: dict[str, float] = Field(default_factory=dict)
    named: bool = True


def read_spectra(data: str | bytes, *, reach: float = 0.0) -> list[NamedSpectrum]:
    """Read all the spectra in a text or file, in its order; each has a name of its own.

    Takes a column of wavelengths [nm] with one column of values for each spectrum; a line of wavelengths
    with a row of values for each; a line for each value; or ANSI/IES TM-27-14. Samples stand 20 nm apart or
    less and reach from 400 to 700 nm (but for `reach` nm at an end), rising or falling; uneven steps become
    even by straight lines, which `notes` say. Raises Refused with all that is wrong, each problem at its
    line: see `samples.to_spectrum` for the samples; also no text, over 1 000 000 bytes, unsafe XML, and a
    text that holds readings.
    """
    text = characters(data, where=_WHERE)
    text = with_figures(text) or plain_lines(text) or text
    found = _from_xml(text) if text.lstrip().startswith("<") else _from_text(text)
    names: set[str] = set()
    return [_named(each, i, len(found), names, reach) for i, each in enumerate(found, 1)]


def sniff(data: str | bytes) -> Literal["spectra", "readings"]:
    """Tell cheaply whether a text holds spectra or readings; what is neither counts as readings."""
    try:
        text = characters(data, where=_WHERE)
    except Refused:
        return "readings"
    return "spectra" if holds_spectra(text) else "readings"


def holds_spectra(text: str) -> bool:
    """Tell cheaply whether a text, as `characters` returns it, holds spectra; XML that is no web page may."""
    if text.lstrip().startswith("<"):
        return _is_no_page(text)
    text = spectral_lines(text) or plain_lines(text) or text
    lines = without_colons(text.split("\n")[:_SNIFFED_LINES])
    if find_long(lines) is not None:
        return True
    columns, rows = find_columns(lines), find_wavelengths(lines)
    return rows is not None or (columns is not None and columns.spectral)


def _is_no_page(text: str) -> bool:
    try:
        refuse_web_page(text, where=_WHERE)
    except Refused:
        return False
    return True


def _from_xml(text: str) -> list[UncheckedSpectrum]:
    refuse_web_page(text, where=_WHERE)
    document = read_tm27(text)
    return [
        UncheckedSpectrum(where=d.where, name=document.name, samples=d.samples, notes=d.notes)
        for d in document.distributions
    ]


def _from_text(text: str) -> list[UncheckedSpectrum]:
    lines = text.split("\n")
    filled = sum(not line.isspace() for line in lines if line)
    if filled > MOST:
        raise Refused.one(_WHERE, f"the text has {filled} lines", f"at most {MOST}. Give it in parts")
    lines = with_decimal_commas(without_colons(without_signs(lines)))
    long = find_long(lines)
    found = spectra_in_long(long) if long is not None else _of_blocks(lines, text)
    if len(found) > MOST_SPECTRA:
        raise Refused.one(_WHERE, f"there are {len(found)} spectra", f"at most {MOST_SPECTRA} in one text")
    return found


def _of_blocks(lines: list[str], text: str) -> list[UncheckedSpectrum]:
    return [each for block in blocks_of(lines) for each in _of_block(block, text)]


def _of_block(lines: list[str], text: str) -> list[UncheckedSpectrum]:
    columns, rows = find_columns(lines), find_wavelengths(lines)
    if columns is not None and (parts := list(parts_of(lines, columns))):
        return [each for part in parts for each in _of_block(part, text)]
    if rows is not None and _in_rows(rows, columns):
        return spectra_in_rows(lines, rows)
    if columns is not None and (columns.spectral or not _has_readings(columns, text)):
        return spectra_in_columns(lines, columns)
    refuse_web_page(text, where=_WHERE)
    if _has_readings(columns, text):
        raise Refused.one(_WHERE, "this is a table of readings, not of spectra", "spectra here: " + _ALLOWED)
    raise Refused.one(_WHERE, "there is no spectrum in the text", _ALLOWED)


def _in_rows(rows: Wavelengths, columns: SpectralColumns | None) -> bool:
    """Whether a line of wavelengths is one, and not the first row of a table of columns."""
    return (
        rows.labelled or columns is None or not columns.spectral or len(columns.rows) < len(rows.wavelengths)
    )


def _has_readings(columns: SpectralColumns | None, text: str) -> bool:
    if columns is not None:
        return any(h is not None and h.field in NUMERIC for h in map(understand, columns.headings))
    try:
        return bool(read_readings(text).sources)
    except Refused:
        return False


def _named(found: UncheckedSpectrum, number: int, count: int, names: set[str], reach: float) -> NamedSpectrum:
    spectrum, notes = to_spectrum(found.samples, where=found.where, reach=reach)
    plain = "".join(c for c in found.name if c.isprintable()).strip()[:74].strip()
    first = name = plain or (UNNAMED if count == 1 else f"{UNNAMED} {number}")
    again = 1
    while name.casefold() in names:
        again += 1
        name = f"{first} ({again})"
    names.add(name.casefold())
    notes = [*found.notes, *notes]
    return NamedSpectrum(
        name=name,
        spectrum=spectrum,
        notes=notes[:_MOST_NOTES],
        figures=found.figures,
        ssi=found.ssi,
        named=plain not in ("", UNNAMED),
    )
