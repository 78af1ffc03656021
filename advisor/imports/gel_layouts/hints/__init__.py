"""What tells of gels without saying it outright: titles, conversions, headings of one letter.

In: lines and columns of a gel table. Out: the same with what they hint at. May import vocabulary, text.
"""
