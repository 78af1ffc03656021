"""Tables as they were found, made so that a column holds one thing and a row says what it is.

In: tables of cells. Out: such tables, and more of them where some stood side by side.
May import vocabulary, text and grids.
"""
