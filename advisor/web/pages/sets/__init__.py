"""Pages about a whole set: its heads, its light, its white, its pull list, its record.

In: requests. Out: pages.
May import all rooms of web, and the pages of one head.
"""
