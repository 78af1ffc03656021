"""Heads that a crew knows from a test: kept, tested, changed, taken back, with a record of every change.

In: heads, tests and readings of the model. Out: the same with numbers, times and who.
May import the file and the tables.
"""
