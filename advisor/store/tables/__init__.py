"""What the tables hold: rows as records, each change of them, and what has to hold before one.

In: rows, and values of the model. Out: records, and the changes that led to them.
May import the file.
"""
