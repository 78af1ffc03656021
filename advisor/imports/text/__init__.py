"""From bytes to lines, from lines to cells, from cells to numbers with their units.

In: bytes or text. Out: lines, cells, numbers, or refusals that say where.
May import the vocabulary.
"""
