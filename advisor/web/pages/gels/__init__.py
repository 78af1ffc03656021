"""Pages about gels: the table, what is on the truck, teaching, the sizes that gel is cut from.

In: requests. Out: pages.
May import all rooms of web but the other pages.
"""
