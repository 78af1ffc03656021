"""Which white all sources should go to: what each white costs, the best of them, and how they are called.

In: a plan. Out: whites with what they save and cost.
May import all rooms from readings to plan.
"""
