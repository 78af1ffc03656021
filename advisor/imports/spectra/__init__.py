"""Pasted text to spectra: columns, rows, or ANSI/IES TM-27-14.

In: text. Out: named spectra with the figures beside them.
May import vocabulary, text, grids, and `imports.read` for the figures beside a spectrum.
"""
