"""Who sends a request, what they may do, and how their phone wants things shown.

In: a request. Out: a session, or a refusal.
May import nothing of the other rooms.
"""
