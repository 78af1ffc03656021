"""Pasted text to readings: tables, name and value, one short line.

In: text. Out: what was understood, row by row, with what is wrong.
May import all rooms but spectra and those of gels.
"""
