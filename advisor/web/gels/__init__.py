"""What pages ask of the gel table: doubts about curves, guesses in an answer, readings that teach.

In: stored gel tables and sets. Out: doubts, pairs of readings, who changed what.
May import access, wording, forms and the state.
"""
