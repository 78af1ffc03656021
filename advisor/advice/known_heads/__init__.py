"""What the test of a head tells: its light and colour at every level, its drift, what to hang on it.

In: the readings of a test. Out: figures and sentences for its test sheet.
May import readings, wording, stacks, pictures and answer.
"""
