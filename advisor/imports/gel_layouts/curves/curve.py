"""A curve as it stands in a text: which gel it is of, and what is said of its values."""

import re
from dataclasses import dataclass

from ...vocabulary.gel_names import GelName, understand_name

ABOUT = re.compile(
    r"[(\[][^()\[\]]*[)\]]|%|\b(?:transmittances?|transmission|optical|density|densities|absorbance|curves?|of|through|"
    r"spectral|measured|transmissionsgrad|dichte)\b|(?<!\S)(?:[tτd]|od)(?![^\s%])",
    re.IGNORECASE,
)
"""What is said of values, and not of which gel they are."""
DENSE = re.compile(
    r"\b(?:optical|density|densities|absorbance|dichten?|densit[éàe]s?|"
    r"densidad(?:es)?|densidades?|dichtheid|gęstość|densitet|tæthed|täthet|hustota|плотность)\b|濃度",
    re.IGNORECASE,
)
"""Words over densities."""


@dataclass(frozen=True)
class CurveBeside:
    """One curve of a text: the line (from 1) of its headings, the gel that it is of, and its own text."""

    line: int
    heading: str
    text: str

    @property
    def name(self) -> GelName | None:
        """The gel that its heading names; None where it names none."""
        return understand_name(ABOUT.sub(" ", self.heading))

    @property
    def unnamed(self) -> bool:
        """Whether its heading says only what was measured, and not of which gel."""
        return not ABOUT.sub(" ", self.heading).strip()

    @property
    def key(self) -> str:
        """What its row calls it by."""
        return f"the curve {self.heading!r} on line {self.line}"
