"""Units that a crew works in beside the SI's: feet, inches, foot-candles."""

FOOT = 0.3048
"""Metres in a foot, exact (international foot, 1959)."""
INCH = FOOT / 12
"""Metres in an inch, exact."""
FOOT_CANDLE = 1 / FOOT**2
"""Lux in a foot-candle, exact: one lumen on a square foot."""
