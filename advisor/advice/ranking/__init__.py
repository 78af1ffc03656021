"""From what stacks cost to the list that is shown: searched without trying all, in rising order of cost.

In: a source made ready and the gel table. Out: the front, its report as the API answers it, and why it is
so.
May import all rooms above it: readings, wording, stacks, cost, learned.
"""
