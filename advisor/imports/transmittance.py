"""A measured transmittance, pasted or uploaded: wavelengths with shares or percents of light let through."""

from pydantic import ValidationError

from ..model import Refused, Transmittance, refuse
from .spectra import read_spectra

_PERCENT_FROM = 1.5
"""A value above this can only be in percent."""


def read_transmittance(data: str | bytes) -> Transmittance:
    """Return the one transmittance that a text holds; percents are divided by 100.

    Raises Refused for text that is no spectrum, that holds several, or values beyond 0 to 1.
    """
    found = read_spectra(data)
    if len(found) != 1:
        raise Refused.one(
            "", f"the text holds {len(found)} curves", "one: wavelengths, and one column of values"
        )
    curve = found[0].spectrum
    share = 0.01 if max(curve.values) > _PERCENT_FROM else 1.0
    try:
        return Transmittance(start=curve.start, step=curve.step, values=[v * share for v in curve.values])
    except ValidationError as error:
        raise refuse(error) from None
