"""Random sources that compete for scarce sheets, and the optimum by integer programming."""

from typing import NamedTuple

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp

from advisor.advice.stock.shelf import Shelf


class Listed(NamedTuple):
    """A source whose stacks are listed: misses and costs (m,), and the sheets that each uses, (m, gels)."""

    misses: np.ndarray
    costs: np.ndarray
    uses: np.ndarray

    def shelf(self):
        return Shelf(self.misses, self.costs, range(self.uses.shape[1]), self.uses)


def a_scramble(rng, sources=12, gels=10, stacks=300):
    """Sources of which most would like the same few gels, and a stock that is too small for that."""
    liked = rng.permutation(gels)[:4]
    chance = np.full(gels, 0.4)
    chance[liked] = 3.0
    wishes = []
    for _ in range(sources):
        uses = np.zeros((stacks, gels), dtype=int)
        for k in range(1, stacks):
            for gel in rng.choice(gels, size=rng.integers(1, 4), p=chance / chance.sum()):
                uses[k, gel] += 1
        # The more of what is liked, the nearer, by and large.
        nearness = uses[:, liked].sum(axis=1)
        misses = np.round(np.maximum(rng.uniform(1, 30, stacks) - 4 * nearness, 0.2 + rng.random(stacks)), 9)
        costs = np.round(misses + 2 * rng.uniform(0, 1.5, stacks) + 0.5 * uses.sum(axis=1), 9)
        misses[0] = costs[0] = 25 + 10 * rng.random()
        wishes.append(Listed(misses, costs, uses))
    return wishes, {gel: int(n) for gel, n in enumerate(rng.integers(0, 4, gels))}


def optimum(wishes, stock):
    """The least worst miss, and the least total cost at that, by scipy.optimize.milp."""
    sizes = [len(w.misses) for w in wishes]
    total = sum(sizes)
    one_each = np.zeros((len(wishes), total))
    at = 0
    for i, size in enumerate(sizes):
        one_each[i, at : at + size] = 1
        at += size
    uses = np.concatenate([w.uses for w in wishes]).T
    misses, costs = np.concatenate([w.misses for w in wishes]), np.concatenate([w.costs for w in wishes])
    limits = np.array([stock[gel] for gel in range(len(uses))])
    shared = [LinearConstraint(one_each, 1, 1), LinearConstraint(uses, -np.inf, limits)]
    # The worst miss is one more variable, no less than any source's.
    worst = np.concatenate([one_each * misses, -np.ones((len(wishes), 1))], axis=1)
    padded = [LinearConstraint(np.pad(c.A, ((0, 0), (0, 1))), c.lb, c.ub) for c in shared]
    exact = {"mip_rel_gap": 0.0}
    first = milp(
        np.concatenate([np.zeros(total), [1.0]]),
        constraints=[*padded, LinearConstraint(worst, -np.inf, 0)],
        integrality=np.concatenate([np.ones(total), [0]]),
        bounds=Bounds(0, np.concatenate([np.ones(total), [np.inf]])),
        options=exact,
    )
    assert first.success
    within = misses <= first.fun + 1e-7
    second = milp(
        costs,
        constraints=shared,
        integrality=np.ones(total),
        bounds=Bounds(0, within.astype(float)),
        options=exact,
    )
    assert second.success
    return first.fun, second.fun
