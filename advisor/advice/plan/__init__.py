"""The plan of a set: for each source what is advised, decided and found, and what stands in the way.

In: a set as it is kept, and the gel table. Out: a plan, as data.
May import all rooms above it.
"""
