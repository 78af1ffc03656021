"""One sentence of a message: its tokens, and what they say of one source or of several.

In: text without what stands around a message. Out: cells by field, name, gels and note of each source, and
what nobody can read. May import vocabulary.
"""
