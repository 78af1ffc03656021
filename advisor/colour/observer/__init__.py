"""What an observer sees: spectra on the grid, chromaticity, loci, CCT and Duv, light behind filters.

In: spectra, chromaticities. Out: chromaticities, whites, the light that passes, colours for the screen.
May import nothing of the advisor.
"""
