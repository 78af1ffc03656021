"""What the pull list prints, and the forms of what is covered and of what gel is cut from.

In: stored sets, their pull list, what was typed. Out: frozen dataclasses that templates only print.
May import: the rooms that web.views may, and web.views itself.
"""
