"""Pictures laid out as SVG: where marks and words stand.

In: numbers from advice. Out: coordinates and labels.
May import wording.
"""
