"""How far a prediction may be off, and which stacks cannot be told apart.

What may be off, each as a distance that 90 % of outcomes stay within, added as squares:

- the source's spectrum: the spread of the ensemble, and a share of the way that the stack moves the
  light, for lamps that are in no ensemble; nothing where the spectrum was measured;
- the gels' dyes: how far other dyes of the same label would lead;
- the gels' strength, by what each row of the table says, and the meter, by what the crew says of it;
- a dim level between or beyond those that were read.
"""

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from ..colour.chromaticity import STEP, distance
from ..colour.data import Array
from ..colour.predict import through
from ..model import Accuracy, StackAdvice
from .prediction import Bare, Outcomes, layer_of, stacked
from .rack import Rack
from .ranking import spent
from .scale import meter_steps
from .stacks import Indices

SCALE = 1.5
"""From root mean square to the radius that holds 90 %: 1.52 for a round normal scatter (Rayleigh), rounded.
The even rows of the accuracy check agree."""
STRANGENESS = 0.03
"""Root mean square error of lamps that no ensemble foresees, as a share of the light's shift (same rows)."""

_ONE_STEP, _NINE_IN_TEN = 1.0, 0.9
"""Stacks whose misses are this near, this often, are alike: one step is just visible.

CIE TN 001:2014, from memory."""


class Certainty(NamedTuple):
    """How certain f stacks on a source are, all in steps.

    `steps` (f,) hold 90 %; `members` (f, k) is the distance of every ensemble member from the target.
    """

    steps: Array
    members: Array


def certainty(bare: Bare, rack: Rack, stacks: Indices, outcomes: Outcomes, accuracy: Accuracy) -> Certainty:
    """Work out how certain the outcomes of stacks (f, w) are."""
    filters = stacked(rack.transmittances, stacks)
    light = through(bare.ensemble.spectra, filters).uv
    spread = np.sqrt(distance(light, outcomes.uv[:, None, :]) ** 2 @ bare.ensemble.weights)
    strange = 0.0 if bare.ensemble.measured else STRANGENESS * distance(outcomes.uv, bare.white.uv)
    dyes = _dyes(bare, rack, stacks, filters)
    gels = _gels(bare, rack, stacks, filters, accuracy.unsaid_percent)
    # An error of the reading is carried through the stack as the same shift in mireds and Duv.
    meter = STEP * meter_steps(bare.white, accuracy)
    level = bare.doubt
    total = np.sqrt(SCALE**2 * (spread**2 + strange**2 + dyes**2) + gels**2 + meter**2 + level**2)
    return Certainty(total / STEP, distance(light, bare.wanted.uv) / STEP)


def lightness(bare: Bare, reports: Sequence[StackAdvice]) -> list[tuple[float, int]]:
    """Return what each stack costs of the light that counts, and of layers: what orders those that tie.

    Reports are in ranked order. On an adjustable head the same gels may stand twice: there the rank decides
    between the settings, not the thousandths of a stop that gels lose more or less at them.
    """
    counted = spent(np.array([r.stops for r in reports]), bare.least_stops)
    first: dict[tuple[str, ...], float] = {}
    costs = [first.setdefault(tuple(r.gels), float(lost)) for lost, r in zip(counted, reports, strict=True)]
    return [(lost, r.layers) for lost, r in zip(costs, reports, strict=True)]


def ties(sure: Certainty, weights: Array, lightness: list[tuple[float, int]]) -> list[list[int]]:
    """Put stacks that cannot be told apart together, the lighter first.

    `sure` is in ranked order, `lightness` what stops and layers each stack costs. The best stack not yet
    placed takes along all that miss within one step of it, by more or by less, in nine of ten spectra that
    the source may have: no eye, and no second reading, would tell which of the two hangs. What moves both
    alike (the meter's error, the sheets in both) does not count. Returns groups of places.
    """
    left, groups = list(range(len(lightness))), []
    while left:
        first = left[0]
        near = np.abs(sure.members[left] - sure.members[first]) <= _ONE_STEP
        same = [k for k, share in zip(left, near @ weights, strict=True) if share >= _NINE_IN_TEN]
        groups.append(sorted(same, key=lambda k: (*lightness[k], k)))
        left = [k for k in left if k not in same]
    return groups


def _dyes(bare: Bare, rack: Rack, stacks: Indices, filters: Array) -> Array:
    """Return how far dyes of other shapes with the same labels lead, root mean square (f,) in Δu′v′."""
    own = through(bare.mean, filters).uv[:, 0]
    apart = [
        distance(through(bare.mean, stacked(other, stacks)).uv[:, 0], own) ** 2 for other in rack.other_dyes
    ]
    return np.asarray(np.sqrt(np.mean(apart, axis=0)))


def _gels(bare: Bare, rack: Rack, stacks: Indices, filters: Array, unsaid: float) -> Array:
    """Return how far sheets lead that are stronger than their labels, (f,) in Δu′v′.

    By as much as their rows say, or `unsaid` [%] where a row does not say.
    """
    percent = np.where(np.isnan(rack.percent), unsaid, rack.percent)
    if not percent.any():
        return np.zeros(len(stacks))
    more = rack.transmittances ** (percent[:, None] / 100.0)
    own = through(bare.mean, filters).uv[:, 0]
    total = np.zeros(len(stacks))
    for layer in range(stacks.shape[1]):
        stronger = layer_of(more, stacks[:, layer])
        total += distance(through(bare.mean, filters * stronger).uv[:, 0], own) ** 2
    return np.sqrt(total)
