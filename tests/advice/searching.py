"""The search asked for the front of a table, and the plain reference for the same."""

from expected import Reference

from advisor.advice.cost.judge import Judge
from advisor.advice.ranking.branch_and_bound import contenders
from advisor.advice.ranking.pareto import rank
from advisor.advice.stacks.enumerate import NONE
from advisor.advice.stacks.prediction import predict_stacks
from advisor.model import EXACT, Limits

SILENT = Limits(accuracy=EXACT)
"""Limits that take readings and labels at their word, as those of a request do."""


def names_of(rack, stacks):
    return [tuple(rack.names[i] for i in stack if i != NONE) for stack in stacks]


def searched(bare, rack, choice, limits):
    """The front by the search, as names, in order."""
    judge = Judge(bare, rack, limits)
    stacks = contenders(judge, choice)
    [outcomes] = predict_stacks([bare], rack, stacks)
    return names_of(rack, stacks[rank(judge, stacks, outcomes)])


def in_order_of(rack, rows):
    """Rows in the order of the rack."""
    place = {name: i for i, name in enumerate(rack.names)}
    return sorted(rows, key=lambda row: place[row.name])


def reference_of(bare, rack, rows, limits):
    """The plain reference for a source and a table."""
    return Reference(bare, in_order_of(rack, rows), rack.transmittances, rack.other_dyes, limits)
