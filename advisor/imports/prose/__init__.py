"""Prose: what whole sentences tell of several sources, where no grammar of one message finds all of it.

In: lines of a text without what stands around a message. Out: proposals, each with a name and cells by field,
which are asked about and never taken in silence. May import vocabulary, text, sentences and messages.
"""
