"""What a meter read, made into light: chromaticity, dim levels, what was read behind gels, the target.

In: model readings, sources and targets. Out: chromaticities, ensembles of spectra and steps, or words for
why not.
May import colour and model only.
"""
