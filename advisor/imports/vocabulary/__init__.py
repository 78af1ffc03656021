"""The words that stand at the head of columns and in them, and what they mean.

In: a cell of text. Out: the field that it names, or nothing.
May import nothing of the other rooms but its own `gel_words`.
"""
