"""A paste on its way into a set: what was read of it, what people chose about it, which sources it makes.

In: a text and a posted form. Out: rows, sources, readings; what is still to be asked.
May import access, wording, forms, live, plans and the state.
"""
