"""A measured transmittance, pasted or uploaded: wavelengths with shares or percents of light let through."""

import re

from pydantic import ValidationError

from ..model import Refused, Transmittance, refuse
from .spectra import read_spectra
from .text import characters

_PERCENT_FROM = 1.5
"""A value above this can only be in percent."""
_PERCENT = re.compile(r"%|\bper ?cent\b", re.IGNORECASE)


def read_transmittance(data: str | bytes) -> Transmittance:
    """Return the one transmittance that a text holds, as shares of 0 to 1.

    Values are percents where the text says so (a sign or a word), or where one is above 1.5. Raises
    Refused for text that is no spectrum, that holds several, or values beyond 0 to 1.
    """
    text = characters(data, where="text")
    said = False
    if not text.lstrip().startswith("<"):
        text, said = _PERCENT.sub("", text), bool(_PERCENT.search(text))
    found = read_spectra(text)
    if len(found) != 1:
        raise Refused.one(
            "", f"the text holds {len(found)} curves", "one: wavelengths, and one column of values"
        )
    curve = found[0].spectrum
    highest = max(curve.values)
    percent = said or highest > _PERCENT_FROM
    if highest > (100.0 if percent else 1.0):
        at = curve.start + curve.step * curve.values.index(highest)
        says = f"the transmittance at {at:g} nm is {highest:g}{' %' if percent else ''}"
        raise Refused.one("", says, "0 to 1 at every wavelength, or 0 to 100 %")
    values = [v / 100.0 for v in curve.values] if percent else curve.values
    try:
        return Transmittance(start=curve.start, step=curve.step, values=values)
    except ValidationError as error:
        raise refuse(error) from None
