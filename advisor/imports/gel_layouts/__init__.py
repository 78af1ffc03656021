"""Where a gel table stands in a text of any layout, what its columns hold, and what has to be asked about it.

In: text. Out: rows of cells, columns with their meanings, figures, questions.
May import vocabulary, text and spectra.
"""
