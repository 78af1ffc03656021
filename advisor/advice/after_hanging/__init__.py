"""After hanging: is it what was predicted, what went wrong, what to do next, what is out of date.

In: readings behind what hangs. Out: a check, and moves.
May import all rooms from readings to answer.
"""
