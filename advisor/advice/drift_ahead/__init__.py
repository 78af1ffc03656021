"""How fast a light drifts by its readings, and when what is matched to it will no longer fit.

In: readings with their times, and a plan. Out: a rate with its doubt, and a time.
May import all rooms from readings to plan.
"""
