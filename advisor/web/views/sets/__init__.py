"""What pages of a whole set print: the set, on screen and on paper, compared, its light, its white, its form.

In: a stored set, its plan, what a page was asked. Out: frozen dataclasses that templates only print.
May import: the rooms that web.views may, and web.views itself.
"""
