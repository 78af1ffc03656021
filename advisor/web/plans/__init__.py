"""What pages of a set ask of its plan: the plan itself, what changed since, readings behind gels.

In: a stored set. Out: plans and words.
May import access, wording, forms and the state.
"""
