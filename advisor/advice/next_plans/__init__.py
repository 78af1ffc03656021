"""What to do when a set no longer fits: hold, follow, or move the white, each in moves on ladders.

In: a plan of a set as it hangs, and what changed. Out: at most three plans, the fewest moves first.
May import all rooms from readings to plan, and pull_list.
"""
