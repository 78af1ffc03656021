"""The cells of one row to a source: its colour, its light, how it stood.

In: cells, each with its field. Out: a source, or what is wrong with each cell.
May import vocabulary and text.
"""
