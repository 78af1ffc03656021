"""What pages say of what comes next on a set: what drifts, and which lamps to ask for.

In: a stored set and its plan. Out: sentences.
May import access, wording, forms, live, plans, the words of views, and the state.
"""
