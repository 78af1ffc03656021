"""How a spectrum renders colours: colour rendering index, fidelity and gamut, spectral similarity.

In: spectra. Out: figures, and how well spectra agree with them.
May import observer.
"""
