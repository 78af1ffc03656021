"""Sets: targets, readings, sources, the work on them, limits, and all of it as one file.

In: what was read, wanted and done. Out: valid sets, and phrases about them.
May import basis and gels.
"""
