"""What numbers may mean that are out of scale: thousands, mired, thousandths; levels not in per cent."""

from collections.abc import Sequence

from ...model.basis.quantities import tidy
from ..vocabulary.headings import Field
from ..vocabulary.tags import EIGHT_BITS, MOST_STOPS, SHARE
from .result import Reply

CHANNELS = "dmx"
"""A heading with this word may be one of addresses."""
READ_AS = {
    "level-1": (Field.LEVEL, SHARE),
    "level-255": (Field.LEVEL, EIGHT_BITS),
    "stops-down": (Field.STOPS_DOWN, 1.0),
    "level": (Field.LEVEL, 1.0),
}
"""What a column is read as until it is answered."""


def of_level(values: Sequence[float]) -> list[Reply]:
    """Return what numbers under a plain heading of dim levels may mean, where they are hardly per cent."""
    if not values:
        return []
    if max(values) <= 1 and any(0 < value < 1 for value in values):
        shown = next(value for value in values if 0 < value < 1)
        return [
            Reply(value="level-1", words=f"share of 1: {tidy(shown * SHARE, 0)} %"),
            Reply(value="level", words=f"per cent: {tidy(shown)} %"),
        ]
    whole = all(value == int(value) for value in values)
    if whole and 100 < max(values) <= 255 and min(values) >= 0:
        return [
            Reply(value="level-255", words=f"of 255: {tidy(values[0] * EIGHT_BITS, 0)} %"),
            Reply(value="-", words="Leave it out"),
        ]
    if -MOST_STOPS <= min(values) < 0 and max(values) <= 0:
        return [
            Reply(value="stops-down", words=f"stops: {tidy(2.0 ** min(values) * SHARE, 0)} %"),
            Reply(value="-", words="Leave it out"),
        ]
    return []


def of_cct(values: Sequence[float]) -> list[Reply]:
    """Return what numbers under a heading of CCTs may mean, where they are none as they stand."""
    if values and all(1 <= value <= 25 for value in values):
        return [Reply(value="cct-k", words=f"× 1 000: {tidy(values[0] * 1000, 0)} K")]
    if values and all(40 <= value < 1000 for value in values):
        return [Reply(value="mired", words=f"mired: {tidy(1e6 / values[0], 0)} K")]
    return []


def of_duv(values: Sequence[float]) -> list[Reply]:
    """Return what numbers under a heading of Duv may mean, where they are none as they stand."""
    far = [value for value in values if abs(value) > 0.05]
    if not far or any(0 < abs(value) < 0.05 for value in values) or max(map(abs, far)) > 50:
        return []
    return [
        Reply(value="duv-m", words=f"÷ 1 000: {tidy(far[0] / 1000, 4)}"),
        Reply(value="-", words="Leave it out"),
    ]
