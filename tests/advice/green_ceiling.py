"""Sources for whites that all can go to: a green ceiling with one key, and two lamps far apart."""

from tests.advice.rows import nominal, source

ROWS = nominal()
TUBES = [
    source(f"Tube {i + 1}", "fluorescent", 4050.0 + 20 * i, round(0.010 + 0.0007 * i, 4)) for i in range(8)
]
KEY = source("Key", "daylight", 5600.0, 0.003)
TWO = [source("Lamp", "tungsten", 3200.0, 0.0), source("Panel", "led-white", 4300.0, 0.006)]
