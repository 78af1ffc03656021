"""The search asked for the front of a table, and the plain reference for the same."""

from advisor.advice.cost.judge import Judge
from advisor.advice.ranking.branch_and_bound import pareto_candidates
from advisor.advice.ranking.pareto import rank
from advisor.advice.stacks.enumerate import NONE
from advisor.advice.stacks.prediction import predict_stacks
from advisor.model import EXACT, Limits
from tests.advice.expected import Reference

SILENT = Limits(accuracy=EXACT)
"""Limits that take readings and labels at their word, as those of a request do."""


def names_of(gel_arrays, stacks):
    return [tuple(gel_arrays.names[i] for i in stack if i != NONE) for stack in stacks]


def searched(bare, gel_arrays, choice, limits):
    """The front by the search, as names, in order."""
    judge = Judge(bare, gel_arrays, limits)
    stacks = pareto_candidates(judge, choice)
    [outcomes] = predict_stacks([bare], gel_arrays, stacks)
    return names_of(gel_arrays, stacks[rank(judge, stacks, outcomes)])


def in_order_of(gel_arrays, rows):
    """Rows in the order of the gel table."""
    place = {name: i for i, name in enumerate(gel_arrays.names)}
    return sorted(rows, key=lambda row: place[row.name])


def reference_of(bare, gel_arrays, rows, limits):
    """The plain reference for a source and a table."""
    return Reference(
        bare, in_order_of(gel_arrays, rows), gel_arrays.transmittances, gel_arrays.other_dyes, limits
    )
