"""The stacks that may be on the front, found without predicting all of them.

What is sought is exact: the same front that predicting every stack gives. Whole families of stacks are
ruled out at once, by branch and bound:

1. Each layer chooses from a tree of clusters (`tree`). A node is a cluster for every layer and stands for
   all stacks with one gel from each; on the next level it falls into the products of the clusters' halves.
   The nodes of a level hold every stack once (layers are kept in order), and in the last level a node is a
   stack.
2. For a node, `bounds` gives the least risk and the least light lost that any of its stacks can have. That is
   proven there, for any transmittances and spectra, from the loss being convex.
3. The frontier is the least risk, at each loss of light that counts (`counted_loss`: where light has to be
   lost, what is lost beyond that, and ten times what is lost too little; in tenths of a stop), of stacks
   that were really judged, that hang and keep within the limit. A node goes only where a stack of the
   frontier, of no more layers, has less risk than the node's least and loses no more that counts than the
   node's least. Then each stack of the node is beaten by that one, by the front's own definition, and is not
   on it. MARGIN is kept clear, a hundred times what the front takes for the same number, so neither that nor
   the rounding of the sums matters.
4. Whatever is left in the last level is judged as any stack is. Nothing that was estimated is answered.

So a poor frontier or a loose bound costs time and never a stack. The frontier starts from bare and
single gels and grows by the stacks in the middle of the most promising nodes.

Every layer draws from one tree; ND for a limit over the key is among its gels. A head's dial takes no part:
it changes the light itself, and how sure it is (`dial_pairs`).

References
----------
Land, A. H. and Doig, A. G. (1960), Econometrica 28(3): branch and bound (from memory). Clusters, bounds and
frontier are our own; `bounds` holds the proof.
"""

import itertools
from collections.abc import Callable
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from ...colour.observer.chromaticity import STEP_DELTA_UV
from ...colour.observer.data import Array
from ...colour.observer.predict import stops, through
from ...model import Refused
from ..cost.counted import counted_loss, tenths
from ..cost.frontier import MARGIN, Frontier
from ..cost.judge import Judge
from ..stacks.enumerate import NONE, Choice, Indices, hangs
from ..stacks.gel_arrays import GelArrays
from ..stacks.prediction import Outcomes, PreparedSource, predict_stacks
from .bounds import Bounds, bounds_of, grouped
from .clusters import Level, Tree, tree_of

MOST_NODES = 3_000_000
"""More nodes than this in one level are not gone through: about 10 s and 300 MB."""
_FIRST_LEVEL = 4
"""The level to begin with: above it, clusters are too wide to rule anything out."""
_CHUNK = 1024
"""Nodes bounded at a time: their bands stay within the processor's cache."""
_BEAM = 200
"""Stacks predicted in each level to lower the frontier, and again as many for the loss that they have."""
_GROUPS, _MORE_GROUPS = 4, 12
"""Groups of the ensemble, for clusters and for the last sieve of single stacks."""


class SearchTask(NamedTuple):
    """One source and what is asked of it, as the search needs it."""

    judge: Judge
    choice: Choice

    @property
    def bare(self) -> PreparedSource:
        """The source."""
        return self.judge.bare

    @property
    def gel_arrays(self) -> GelArrays:
        """The gels."""
        return self.judge.gel_arrays

    def affordable(self, lost: Array) -> NDArray[np.bool_]:
        """Return which stacks, that lose `lost` (m,), keep within the limit."""
        most = self.judge.limits.max_stops
        return np.asarray(lost - self.bare.least_stops <= (np.inf if most is None else most) + MARGIN)

    def learn(self, known: Frontier, risk: Array, lost: Array) -> None:
        """Take stacks that were judged into the frontier; what is beyond the limit rules out nothing."""
        here = self.affordable(lost)
        known.add(risk[here], self.counted(lost[here]))

    def counted(self, lost: Array) -> Array:
        """Return the light that counts, (m,), of stacks that lose `lost` (m,)."""
        return tenths(counted_loss(lost, self.bare.least_stops))

    def rows(self, added: Indices) -> Indices:
        """Return whole stacks, padded, of added gels (m, w)."""
        keep = self.choice.keep
        rows = np.full((len(added), len(keep) + self.choice.free), NONE, dtype=np.intp)
        rows[:, : len(keep)] = keep
        rows[:, len(keep) : len(keep) + added.shape[1]] = added
        return rows

    def judged(self, added: Indices, known: Frontier) -> tuple[Array, Array]:
        """Return the risk and the stops, (m,) each, of stacks of added gels (m, w).

        Where a stack is beaten by a bound of its risk, that bound is returned.
        """
        if not len(added):
            return np.zeros(0), np.zeros(0)
        rows = self.rows(added)
        [outcomes] = predict_stacks([self.bare], self.gel_arrays, rows)
        lost = stops(outcomes.passed)
        risk, counted = self.judge.at_least(outcomes, rows), self.counted(lost)
        for closer in (self.judge.closer, self._risk):
            left = np.flatnonzero(~known.beats(risk, counted))
            risk[left] = closer(rows[left], outcomes.at(left))
        return risk, lost

    def _risk(self, rows: Indices, outcomes: Outcomes) -> Array:
        return self.judge.risk(rows, self.judge.certainty(rows))

    def bounds(self, added: Indices, groups: int) -> Bounds:
        """Prepare bounds, the ensemble grouped by where members land behind a stack (w,) of added gels."""
        spectra, weights = self.bare.ensemble.spectra, self.bare.ensemble.weights
        kept = self.gel_arrays.transmittances[list(self.choice.keep)].prod(axis=0)
        near = kept * self.gel_arrays.transmittances[added].prod(axis=0)
        places = np.nan_to_num(through(spectra, near[None, :]).uv[0] * (1.0, 1.5) / STEP_DELTA_UV)
        members = grouped(places, weights, groups)
        return bounds_of(spectra, weights, kept, self.bare.wanted.uv, members, *self.judge.floor)


def pareto_candidates(judge: Judge, choice: Choice) -> Indices:
    """Return, of all stacks of a choice, some that hold the whole front, in the order of `stacks_on`, (m, w).

    The first is `keep` alone, whatever it costs. Raises Refused where too many stacks are too nearly alike.
    """
    asked = SearchTask(judge, choice)
    best = np.zeros((1, 0), dtype=np.intp)
    found = [asked.rows(best)]
    known = Frontier()
    risk, lost = asked.judged(best, known)
    known.add(risk, asked.counted(lost))  # it takes part whatever it costs
    for layers in range(1, choice.free + 1 if choice.gels else 1):
        added, risk = _search(asked, tree_of(judge.gel_arrays, choice.gels), layers, known, best[0])
        found.append(asked.rows(added))
        if len(added) and risk.min() <= known.best:
            best = added[[np.argmin(risk)]]
    return np.concatenate(found)


def _search(
    asked: SearchTask, tree: Tree, layers: int, known: Frontier, best: Indices
) -> tuple[Indices, Array]:
    """Search all stacks of so many layers: those not beaten by what is known, sorted, and their misses.

    `best` (w,) are the gels of a stack near the target.
    """
    number = min(_FIRST_LEVEL, tree.depth)
    bounds = asked.bounds(best, _GROUPS)
    clusters = _first(tree.levels[number], layers)
    while number < tree.depth:
        level = tree.levels[number]
        nodes = _left(asked, clusters, level, _bands(bounds, level), known)
        _probe(asked, nodes, tree.middle(number), known)
        clusters = _halved(nodes.clusters)
        number += 1
        if len(clusters) > MOST_NODES:
            raise _too_many(asked.choice)
    leaf = tree.levels[number]
    nodes = _left(asked, clusters, leaf, _stacks(bounds, leaf), known)
    if len(asked.bare.ensemble.weights) > _GROUPS:
        finer = asked.bounds(best, _MORE_GROUPS)
        nodes = _left(asked, nodes.clusters, leaf, _stacks(finer, leaf), known)
    gels = tree.order[leaf.starts[nodes.clusters]]
    return _exactly(asked, nodes, np.sort(gels, axis=1), known)


class _Nodes(NamedTuple):
    """Nodes of one level: `clusters` (m, w), a number for each layer, with their bounds (m,)."""

    clusters: Indices
    least: Array
    spent: Array


def _first(level: Level, layers: int) -> Indices:
    """Return all nodes of a level, (m, w)."""
    filled = np.flatnonzero(level.filled)
    return np.array(list(itertools.combinations_with_replacement(filled, layers)), dtype=np.intp)


def _halved(clusters: Indices) -> Indices:
    """Return the nodes (n, w) of the next level that nodes (m, w) fall into, each once."""
    layers = clusters.shape[1]
    halves = np.array(list(itertools.product((0, 1), repeat=layers)))
    nodes: Indices = (2 * clusters[:, None, :] + halves).reshape(-1, layers)
    for k in range(layers - 1):  # the order of two layers makes no difference
        nodes = nodes[nodes[:, k] <= nodes[:, k + 1]]
    return nodes


_Sieve = Callable[[Indices], tuple[Array, Array, Array]]
"""From nodes to the least miss, and to the most and the least light that their scaled curves pass."""


def _bands(bounds: Bounds, level: Level) -> _Sieve:
    """Return what bounds nodes of clusters."""

    def bound(numbers: Indices) -> tuple[Array, Array, Array]:
        low = _product(level.low, numbers)
        return *bounds.of_bands(low, _product(level.high, numbers)), bounds.passed(low)

    return bound


def _stacks(bounds: Bounds, leaf: Level) -> _Sieve:
    """Return what bounds nodes of single gels."""

    def bound(numbers: Indices) -> tuple[Array, Array, Array]:
        least, passed = bounds.of_stacks(_product(leaf.high, numbers))
        return least, passed, passed

    return bound


def _product(curves: Array, numbers: Indices) -> Array:
    """Multiply each node's curves, (m, 81)."""
    product = curves[numbers[:, 0]]
    for k in range(1, numbers.shape[1]):
        product *= curves[numbers[:, k]]
    return product


def _left(asked: SearchTask, clusters: Indices, level: Level, bound: _Sieve, known: Frontier) -> _Nodes:
    """Bound nodes (m, w) of a level, and return those that may hold a stack of the front."""
    filled = np.ones(len(clusters), dtype=np.bool_)
    signs = np.zeros((len(clusters), 4), dtype=np.bool_)
    for numbers in clusters.T:
        filled &= level.filled[numbers]
        signs |= level.signs[numbers]
    opposed = (signs[:, 0] & signs[:, 2]) | (signs[:, 1] & signs[:, 3])
    clusters = clusters[filled & ~opposed]
    least, most_passed, least_passed = (np.empty(len(clusters)) for _ in range(3))
    for start in range(0, len(clusters), _CHUNK):
        here = slice(start, start + _CHUNK)
        least[here], most_passed[here], least_passed[here] = bound(clusters[here])
    for numbers in clusters.T:
        most_passed *= level.scale[numbers]
        least_passed *= level.least_scale[numbers]
    least_lost, most_lost = (-np.log2(np.clip(p, 1e-300, 1.0)) for p in (most_passed, least_passed))
    # What counts falls to nothing at what has to be lost, and rises on either side of it.
    counted = asked.counted(np.clip(asked.bare.least_stops, least_lost, most_lost))
    stay = np.flatnonzero(~known.beats(least, counted) & asked.affordable(least_lost))
    return _Nodes(clusters[stay], least[stay], counted[stay])


def _probe(asked: SearchTask, nodes: _Nodes, middle: Indices, known: Frontier) -> None:
    """Predict the stacks in the middle of the most promising nodes, to lower the frontier.

    `middle` (c,) is a gel for each cluster of their level.
    """
    by_miss = np.argsort(nodes.least, kind="stable")[:_BEAM]
    by_gain = np.argsort(nodes.least - known.least(nodes.spent), kind="stable")[:_BEAM]
    some = nodes.clusters[np.union1d(by_miss, by_gain)]
    gels = np.sort(middle[some], axis=1)
    risk, lost = asked.judged(gels[hangs(asked.gel_arrays, asked.choice, gels)], known)
    asked.learn(known, risk, lost)


def _exactly(asked: SearchTask, nodes: _Nodes, added: Indices, known: Frontier) -> tuple[Indices, Array]:
    """Predict what is left, the most promising first, while the frontier goes on falling."""
    order = np.argsort(nodes.least - known.least(nodes.spent), kind="stable")
    order = order[hangs(asked.gel_arrays, asked.choice, added[order])]
    risk, lost = np.full(len(added), np.nan), np.full(len(added), np.nan)
    for start in range(0, len(order), _CHUNK):
        here = order[start : start + _CHUNK]
        here = here[~known.beats(nodes.least[here], nodes.spent[here])]
        risk[here], lost[here] = asked.judged(added[here], known)
        asked.learn(known, risk[here], lost[here])
    stay = np.flatnonzero(~known.beats(risk, asked.counted(lost)) & asked.affordable(lost))
    stay = stay[np.lexsort(added[stay].T[::-1])]
    return added[stay], risk[stay]


def _too_many(choice: Choice) -> Refused:
    return Refused.one(
        "gels",
        f"{len(choice.gels)} gels in up to {choice.free} layers make too many stacks that are nearly alike",
        "fewer layers, a limit to the light lost, or gels switched off that are not on the truck",
    )
