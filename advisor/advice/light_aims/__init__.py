"""Light that is asked for: how each source comes to give it, by dimmer, gel, scrim or distance.

In: a plan with its sources, and what is asked of the light. Out: the ways of each source, the cheapest first.
May import all rooms from readings to overview.
"""
