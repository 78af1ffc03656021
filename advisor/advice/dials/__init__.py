"""Heads with dials: what they give at a setting, learnt from readings, and which setting and stack suit best.

In: readings at settings. Out: settings in one ranking with gels.
May import readings, wording, stacks, cost and ranking.
"""
