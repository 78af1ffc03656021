"""Pages about heads that a crew tests once: the list, a head, its test, its sheet, and its way onto a set.

In: requests. Out: pages.
May import all rooms of web but the other pages.
"""
