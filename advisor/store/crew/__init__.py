"""What a crew has beside its sets: its gel table, its phones and links, and what it chose once for all.

In: values of the model, tokens, choices. Out: versions of the gel table, phones, choices.
May import the file and the tables.
"""
