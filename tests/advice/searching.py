"""The search asked for the front of a table."""

from advisor.advice.fronts import rank
from advisor.advice.prediction import predict_stacks
from advisor.advice.search import contenders
from advisor.advice.stacks import NONE


def names_of(rack, stacks):
    return [tuple(rack.names[i] for i in stack if i != NONE) for stack in stacks]


def searched(bare, rack, choice, limits):
    stacks = contenders(bare, rack, choice, limits.max_stops)
    [outcomes] = predict_stacks([bare], rack, stacks)
    return names_of(rack, stacks[rank(outcomes, stacks, limits, bare.least_stops)])
