"""What pages about gels print: the table, a row of it, an import, what is on the truck, a lesson.

In: stored gel tables, forms, lessons. Out: frozen dataclasses that templates only print.
May import: the rooms that web.views may, web.gels, and web.views itself.
"""
