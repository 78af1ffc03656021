"""Readings from the messages of a text: every line by itself, what is corrected, and what is asked.

In: lines of a text, and what was answered. Out: rows as they are gathered, with questions. May import
vocabulary, text, grids, sentences, messages, prose, sources and readings.
"""
