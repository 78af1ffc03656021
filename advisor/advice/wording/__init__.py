"""What is said of light in the trade's words: fractions of gels, offsets, tolerances, cautions.

In: mired, units of CC, steps and the ladder of a gel table. Out: words.
May import the readings' room.
"""
