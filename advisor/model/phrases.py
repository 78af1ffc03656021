"""Numbers and lists as they stand in a sentence."""

from collections.abc import Sequence

from .quantities import tidy

_NBSP = "\N{NO-BREAK SPACE}"
"""Between a number and what it counts: the two stay on one line."""


def signed(value: float, decimals: int | None = None) -> str:
    """Write a number with its sign, to so many decimals; what rounds to 0 has none."""
    text = tidy(value, decimals)
    return f"+{text}" if value > 0 and any(digit in text for digit in "123456789") else text


def counted(number: float, what: str) -> str:
    """Count things, or say an amount as it was typed: “1 sheet”, “2 sheets”, “0 sheets”, “0.5 stop”."""
    return f"{tidy(number)}{_NBSP}{what}{'' if 0 < number <= 1 else 's'}"


def measured(value: float, unit: str) -> str:
    """Write an amount to a tenth with its unit: “0.5 stop”, “1.0 stop”, “1.5 stops”."""
    return f"{tidy(value, 1)}{_NBSP}{unit}{'' if value < 1.05 else 's'}"


def listed(parts: Sequence[str]) -> str:
    """Join words as a sentence does: “a, b and c”."""
    return ", ".join(parts[:-1]) + " and " + parts[-1] if len(parts) > 1 else "".join(parts)
