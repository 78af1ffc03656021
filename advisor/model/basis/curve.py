"""A curve over wavelength at equal steps, as spectra and transmittances are."""

import math
from typing import ClassVar, Self

from pydantic import Field, model_validator

from .base import Model
from .problems import wrong

MUST_COVER = (400.0, 700.0)
"""A curve must reach this far. [nm]

Beyond, the end values are repeated. This is how much of a Planckian radiator's X, Y and Z lies outside: at 1
000 K 2.6, 1.8 and 0.003 %; at 2 000 K 0.5, 0.23 and 0.07 %; at 5 600 K 0.2, 0.05 and 0.4 %; at 25 000 K 0.4,
0.03 and 0.8 %. Repeating the ends moves its colour by 0.91, 0.07, 0.01 and 0.06 step (worked out; a test
holds these figures).
"""


class Curve(Model):
    """`values[i]` is at `start + i * step` [nm]. Steps are 1 to 20 nm. It covers 400 to 700 nm at least."""

    what: ClassVar[str] = "the curve"
    start: float
    step: float
    values: list[float] = Field(max_length=2000)

    @model_validator(mode="after")
    def _reaches(self) -> Self:
        if not (math.isfinite(self.start) and math.isfinite(self.step) and 1.0 <= self.step <= 20.0):
            raise wrong(
                f"{self.what} starts at {self.start} nm in steps of {self.step} nm", "steps of 1 to 20 nm"
            )
        first, last = MUST_COVER
        if self.start > first or self.end < last - 1e-6:  # steps such as 10/3 nm end beside 700 by rounding
            raise wrong(
                f"{self.what} runs from {self.start:g} to {self.end:g} nm",
                f"it must reach from {first:g} or below to {last:g} nm or above",
            )
        if not all(math.isfinite(v) for v in self.values):
            raise wrong(f"{self.what} holds a value that is not a number", "numbers of 0 or more")
        return self

    def __hash__(self) -> int:
        # A list has no hash, and results that are cached for gels need one.
        return hash((self.start, self.step, tuple(self.values)))

    @property
    def end(self) -> float:
        """The last wavelength. [nm]"""
        return self.start + self.step * (len(self.values) - 1)


class Spectrum(Curve):
    """Relative spectral power."""

    what: ClassVar[str] = "the spectrum"

    @model_validator(mode="after")
    def _gives_light(self) -> Self:
        if min(self.values) < 0:
            raise wrong(f"the spectrum holds a negative value, {min(self.values):g}", "numbers of 0 or more")
        if max(self.values) <= 0:
            raise wrong("the spectrum is zero everywhere", "some light")
        return self


class Transmittance(Curve):
    """A measured spectral transmittance, 0 to 1."""

    what: ClassVar[str] = "the transmittance"

    @model_validator(mode="after")
    def _passes_light(self) -> Self:
        worst = next((v for v in self.values if not 0.0 <= v <= 1.0), None)
        if worst is not None:
            raise wrong(f"the transmittance holds {worst:g}", "0 to 1 at every wavelength, or 0 to 100 %")
        if max(self.values) < 0.001:
            raise wrong("the transmittance lets no light through", "some light, up to 1")
        return self
