"""One picture of the check: the share of outcomes within an error, as a hand-written SVG.

It has no background and mid-grey lines and letters, so that it reads on light and on dark pages; the
curves differ in line style and carry their names.
"""

from collections.abc import Sequence
from html import escape
from typing import NamedTuple

import numpy as np

from advisor.colour.observer.data import Array

GREY = "#7a7a7a"
"""About 4.3 to 1 on white and on near-black."""
WIDTH, HEIGHT = 720, 420
LEFT, RIGHT, TOP, BOTTOM = 64, 16, 24, 64
MOST = 12.0
"""The error at the right edge. [step]"""


class Curve(NamedTuple):
    """Errors (n,) in steps, NaN where there was no answer; their name begins `at` a step and a share."""

    name: str
    errors: Array
    width: float
    dashes: str
    at: tuple[float, float]


def draw(curves: Sequence[Curve], title: str, description: str) -> str:
    """Return the picture as the text of an SVG file."""
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH} {HEIGHT}" role="img" '
        f'font-family="sans-serif" font-size="15" fill="{GREY}">',
        f"<title>{escape(title)}</title>",
        f"<desc>{escape(description)}</desc>",
        *_axes(),
        *(part for curve in curves for part in _curve(curve)),
        "</svg>",
    ]
    return "\n".join(parts) + "\n"


def within(errors: Array, steps: Array) -> Array:
    """Return the share of errors (n,) that are at most `steps` (m,)."""
    return np.searchsorted(np.sort(errors[np.isfinite(errors)]), steps, side="right") / len(errors)


def _axes() -> list[str]:
    lines = []
    for share in (0, 25, 50, 75, 90, 100):
        y = _y(share / 100)
        faint = 0.9 if share == 0 else 0.3
        lines.append(
            f'<line x1="{LEFT}" y1="{y:.1f}" x2="{WIDTH - RIGHT}" y2="{y:.1f}" stroke="{GREY}" '
            f'stroke-opacity="{faint}"/>'
        )
        lines.append(f'<text x="{LEFT - 8}" y="{y + 5:.1f}" text-anchor="end">{share} %</text>')
    lines += [
        f'<text x="{_x(step):.1f}" y="{_y(0) + 22:.1f}" text-anchor="middle">{step}</text>'
        for step in range(0, int(MOST) + 1, 2)
    ]
    middle = (LEFT + WIDTH - RIGHT) / 2
    lines.append(
        f'<text x="{middle:.1f}" y="{HEIGHT - 12}" text-anchor="middle">'
        "error of the predicted white, in steps of 0.0011 Δu′v′</text>"
    )
    return lines


def _curve(curve: Curve) -> list[str]:
    steps = np.linspace(0.0, MOST, 121)
    shares = within(curve.errors, steps)
    points = " ".join(f"{_x(s):.1f},{_y(y):.1f}" for s, y in zip(steps, shares, strict=True))
    dashes = f' stroke-dasharray="{curve.dashes}"' if curve.dashes else ""
    return [
        f'<polyline points="{points}" fill="none" stroke="{GREY}" stroke-width="{curve.width:g}"{dashes}/>',
        f'<text x="{_x(curve.at[0]):.1f}" y="{_y(curve.at[1]):.1f}">{escape(curve.name)}</text>',
    ]


def _x(step: float) -> float:
    return LEFT + (WIDTH - LEFT - RIGHT) * float(step) / MOST


def _y(share: float) -> float:
    return HEIGHT - BOTTOM - (HEIGHT - TOP - BOTTOM) * float(share)
