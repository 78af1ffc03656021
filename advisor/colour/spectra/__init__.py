"""Spectra that nobody measured: those a lamp of a kind may have, and transmittances that a label stands for.

In: kinds, chromaticities, figures; labels. Out: ensembles of spectra; transmittances on the grid.
May import observer and rendering.
"""
