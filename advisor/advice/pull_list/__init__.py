"""What comes off the truck: gel by gel, from the formats that serve best, cut by cut.

In: plans, openings and formats. Out: lines of a list.
May import stacks, ranking, answer and plan.
"""
