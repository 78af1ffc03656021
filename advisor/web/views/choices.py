"""What can be chosen on a page."""

from dataclasses import dataclass


@dataclass(frozen=True)
class OfferedChoice:
    """What can be chosen: its value for the form, its words, and whether it is chosen."""

    value: str
    words: str
    chosen: bool
