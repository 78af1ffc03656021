"""Gels: a row of the gel table, the series in which CTO is sold, the sizes in which gel comes.

In: what a label or a curve says. Out: valid rows and sizes.
May import basis.
"""
