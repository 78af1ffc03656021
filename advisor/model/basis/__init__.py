"""What all models rest on: numbers as people write them, quantities, curves, and words for what is wrong.

In: text and numbers. Out: valid values, or problems.
May import nothing of the advisor.
"""
