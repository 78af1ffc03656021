"""Gel tables from texts of any layout, and as CSV with the measured curves beside it.

In: text or files. Out: a gel table; and back.
May import vocabulary, text, markup, spectra and gel_layouts.
"""
