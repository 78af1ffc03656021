"""One stock for all sources: who gets which sheets, exactly, and the words for why.

In: each source's stacks with what they cost. Out: a stack a source.
May import stacks, cost and ranking.
"""
