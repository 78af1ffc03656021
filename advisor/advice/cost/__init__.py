"""What a stack costs: expected loss, light, layers, and what nobody hangs without a reason.

In: predictions with their doubt. Out: one number a stack, in steps, and the chance that it is near enough.
May import readings, wording and stacks.
"""
