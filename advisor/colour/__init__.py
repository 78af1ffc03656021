"""Colour science in plain numpy: loci, CCT and Duv, spectra, gels, prediction, rendition, screen colours."""
