"""What pages say: values with units, sentences of a head, a source or a stack.

In: model and advice. Out: text.
May import access.
"""
