"""Pages about known heads, tested once: the list, a head, its test, its sheet, its way onto a set.

In: requests. Out: pages.
May import all rooms of web but the other pages.
"""
