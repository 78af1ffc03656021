"""How far two ways to give a colour lie apart: CCT with Duv, and x with y. Only to find what cannot be."""

import math


def planckian_uv(cct: float) -> tuple[float, float]:
    """Return CIE 1960 u, v of a Planckian radiator of 1 000 to 15 000 K, to about 0.0001.

    M. Krystek, "An algorithm to calculate correlated colour temperature", Color Research & Application 10
    (1985), 38–40; the figures from memory, held against the advisor's own locus by a test.
    """
    t = min(max(cct, 1000.0), 15000.0)
    u = (0.860117757 + 1.54118254e-4 * t + 1.28641212e-7 * t * t) / (
        1 + 8.42420235e-4 * t + 7.08145163e-7 * t * t
    )
    v = (0.317398726 + 4.22806245e-5 * t + 4.20481691e-8 * t * t) / (
        1 - 2.89741816e-5 * t + 1.61456053e-7 * t * t
    )
    return u, v


def uv_of_xy(x: float, y: float) -> tuple[float, float] | None:
    """Return CIE 1960 u, v; None where x, y is no colour."""
    below = -2 * x + 12 * y + 3
    return (4 * x / below, 6 * y / below) if below > 0 and y > 0 else None


def uv_of_cct(cct: float, duv: float) -> tuple[float, float]:
    """Return CIE 1960 u, v of a CCT [K] and a Duv, to about 0.001."""
    u, v = planckian_uv(cct)
    u2, v2 = planckian_uv(cct * 1.002)
    du, dv = u2 - u, v2 - v
    length = math.hypot(du, dv) or 1.0
    # To the side on which v grows: green, above the locus.
    sign = 1.0 if du <= 0 else -1.0
    return u + sign * duv * dv / length, v - sign * duv * du / length


def apart(cct: float, duv: float, x: float, y: float) -> float:
    """Return how far apart in CIE 1960 u, v the two lie; a large number where x, y is no colour."""
    of_xy = uv_of_xy(x, y)
    if of_xy is None:
        return 9.0
    u, v = uv_of_cct(cct, duv)
    return math.hypot(u - of_xy[0], v - of_xy[1])


_LADDER = tuple(planckian_uv(1e6 / mired) for mired in range(70, 700, 10))


def off_locus(x: float, y: float) -> float:
    """Return how far x, y lies from the Planckian locus in CIE 1960 u, v, to about 0.002; 9 for no colour."""
    of_xy = uv_of_xy(x, y)
    return 9.0 if of_xy is None else min(math.dist(of_xy, each) for each in _LADDER)
