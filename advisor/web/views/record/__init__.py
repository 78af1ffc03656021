"""What the record prints: what hangs and what was done, the file of a set, two days beside each other.

In: sets, their changes and plans, what a file holds. Out: frozen dataclasses that templates only print.
May import: the rooms that web.views may, and web.views itself.
"""
