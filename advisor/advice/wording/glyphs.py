"""How far one light is off another, short enough for a row of 48 px: “1½ CTO warm, ¼ magenta”."""

import itertools

from .ladder import FRACTIONS, Ladder, Sizes

_GLYPHS = ("⅛", "¼", "½", "¾", "full", "1½", "2")
assert _GLYPHS[: len(FRACTIONS)] == tuple(fraction.glyph for fraction in FRACTIONS)


def beside_in_glyphs(mired: float, duv: float, ladder: Ladder) -> str:
    """Say in the nearest fractions how a light is beside another; positive is warmer, and greener.

    Less than half an eighth is not said. If neither way is more, the one that is more of its eighth is a
    touch. `mired` is in MK⁻¹.
    """
    along, across = ladder.both(mired, duv)
    warm, green = "warm" if mired > 0 else "cool", "green" if duv > 0 else "magenta"
    parts = []
    if fraction := nearest_glyph(abs(mired), along):
        parts.append(f"{fraction} {'CTO' if mired > 0 else 'CTB'} {warm}")
    if fraction := nearest_glyph(abs(duv), across):
        parts.append(f"{fraction} {green}")
    touch = warm if abs(mired) / along[0] >= abs(duv) / across[0] else green
    return ", ".join(parts) or f"a touch {touch}"


def nearest_glyph(size: float, sizes: Sizes) -> str:
    """Return the fraction of a gel that is nearest to a `size`, as it is written; empty below half of ⅛."""
    rungs = (0.0, *sizes, 1.5 * sizes[-1], 2.0 * sizes[-1])
    for glyph, (here, above) in zip(
        ("", *_GLYPHS), itertools.pairwise((*rungs, 2.5 * sizes[-1])), strict=True
    ):
        if size < (here + above) / 2:
            return glyph
    return f"over {_GLYPHS[-1]}"
