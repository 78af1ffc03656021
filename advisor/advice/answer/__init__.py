"""The whole way from readings to ranked stacks, and the questions that come before or beside it.

In: a model request. Out: a model answer.
May import all rooms from readings to stock.
"""
