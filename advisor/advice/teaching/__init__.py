"""What a gel really does: a row fitted to readings, whether any gel can do what a row says, odd curves.

In: rows of the gel table, pairs of readings, curves. Out: rows with their doubt, or words for why not.
May import readings, wording and stacks.
"""
