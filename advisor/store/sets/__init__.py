"""Lighting sets and their sources: kept, changed, taken back, told in words, copied whole.

In: values of the model. Out: records of sets and sources, and of what was done.
May import the file, the tables and the known heads.
"""
