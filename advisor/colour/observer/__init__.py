"""What an observer sees: spectra on the grid, chromaticity, loci, CCT and Duv, light behind filters.

In: spectra, chromaticities. Out: chromaticities, whites, light that passes, bent spectra, screen colours.
May import nothing of the advisor.
"""
