"""Gels put together: every stack that makes sense, the light behind it, and how far that may be off.

In: a gel table and sources. Out: arrays, one row a stack.
May import readings and wording.
"""
