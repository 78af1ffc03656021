"""What pictures are drawn from: the shift plane, the light path, rendition, loci. Numbers, no drawing.

In: sources, stacks, targets. Out: points, lengths and patches.
May import readings, wording and stacks.
"""
