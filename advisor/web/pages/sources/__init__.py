"""Pages about one source of a set: what to hang and why, its readings, the work on it, what is taken back.

In: requests. Out: pages.
May import all rooms of web but the other pages.
"""
