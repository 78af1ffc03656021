"""Pages about phones: how they join, who did, how each shows things, and what keeps them true.

In: requests. Out: pages.
May import all rooms of web but the other pages.
"""
