"""From bytes to lines, from lines to cells, from cells to numbers with their units.

In: bytes or text. Out: lines, cells, numbers, or refusals with their place.
May import the vocabulary.
"""
