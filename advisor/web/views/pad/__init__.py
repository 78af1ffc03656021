"""The reading pad: its form, the answer to what is typed in it, and what a pair of readings can teach.

In: a head as planned, what was typed. Out: frozen dataclasses that templates only print.
May import: the rooms that web.views may, and web.views itself.
"""
