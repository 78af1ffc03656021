"""Measured curves in the text of a gel table: columns headed by gels' names, or a line for each value.

In: lines. Out: the lines without them, and the curves. May import vocabulary, text, spectra, gel_layouts.
"""
