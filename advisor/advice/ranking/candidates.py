"""The stacks to rank: all of them, or, if they are very many, those that the search cannot rule out."""

from collections import defaultdict
from collections.abc import Sequence

import numpy as np

from ...model import Kind, Limits, Role, Source
from ..cost.judge import Judge
from ..learned.informed import Informed
from ..stacks.enumerate import NONE, Choice, Indices, choice_on, stacks_on
from ..stacks.gel_arrays import GelArrays
from ..stacks.prediction import Outcomes, PreparedSource, predict_stacks
from .branch_and_bound import pareto_candidates

MOST_PLAIN = 100_000
"""The most stacks of which all are predicted. If there are more, the search rules most of them out. Either
way gives the same front; up to this many, predicting all is no slower."""
_NO_LENS = (Kind.DAYLIGHT, Kind.FLUORESCENT, Kind.FLUORESCENT_TRIBAND, Kind.SODIUM, Kind.UNKNOWN)
_MOST_NEAR = 3000
"""The stacks judged on a source that was read behind gels: those predicted nearest before the readings."""


def candidates(judges: Sequence[Judge], choices: Sequence[Choice]) -> list[tuple[Indices, Outcomes]]:
    """Return for each source stacks of its choice that hold the whole front, and their outcomes.

    The first stack is always the source with nothing added. Raises Refused where there are too many.
    """
    alike: defaultdict[Choice, list[int]] = defaultdict(list)
    found: dict[int, tuple[Indices, Outcomes]] = {}
    for i, choice in enumerate(choices):
        if isinstance(judges[i], Informed):
            found[i] = _near(judges[i], choice)
        else:
            alike[choice].append(i)
    for choice, indices in alike.items():
        gel_arrays = judges[indices[0]].gel_arrays
        if is_plain(choice):
            stacks = stacks_on(gel_arrays, choice)
            group = predict_stacks([judges[i].bare for i in indices], gel_arrays, stacks)
            found.update((i, (stacks, outcomes)) for i, outcomes in zip(indices, group, strict=True))
            continue
        for i in indices:
            stacks = pareto_candidates(judges[i], choice)
            [outcomes] = predict_stacks([judges[i].bare], gel_arrays, stacks)
            found[i] = stacks, outcomes
    return [found[i] for i in range(len(judges))]


def _near(judge: Judge, choice: Choice) -> tuple[Indices, Outcomes]:
    """Return the stacks that matter for a source that was read behind gels, and their outcomes.

    Readings move every prediction a little. So the stacks that count are those predicted nearest without
    them, out of all stacks or out of what the search leaves; and in any case bare, single gels, and stacks
    that were read.
    """
    plain = Judge(judge.bare, judge.gel_arrays, judge.limits)
    stacks = stacks_on(judge.gel_arrays, choice) if is_plain(choice) else pareto_candidates(plain, choice)
    steps = np.nan_to_num(plain.outcomes(stacks).steps, nan=np.inf)
    near = np.argsort(steps, kind="stable")[:_MOST_NEAR]
    single = np.flatnonzero((stacks != NONE).sum(axis=1) <= len(choice.keep) + 1)
    some = stacks[np.union1d(near, np.union1d(single, list(judge.read(stacks))).astype(np.intp))]
    return some, judge.outcomes(some)


def choice_of(bare: PreparedSource, limits: Limits, gel_arrays: GelArrays) -> Choice:
    """Return what may hang on a source, by its own limits and those of its set (`limits`).

    Where it is to be left as it is, that is nothing beyond what it keeps; a scrim only goes where there is a
    lens to hold it (`takes_scrims`). Raises Refused where the limits
    name what the table does not have.
    """
    own = limits.for_source(bare.source)
    return choice_for(Judge(bare, gel_arrays, own))


def choices_for(judges: Sequence[Judge]) -> list[Choice]:
    """Return what may hang on each source, as `choice_for` does."""
    return [choice_for(judge) for judge in judges]


def choice_for(judge: Judge) -> Choice:
    """Return what may hang on a source, as `choice_of` does, by the limits of who judges it."""
    bare, allowed = judge.bare, judge.open_gels
    layers = 0 if bare.source.aim.leave else judge.limits.max_layers
    if not takes_scrims(bare.source):
        allowed = allowed & ~judge.gel_arrays.scrims
    return choice_on(judge.gel_arrays, bare.keep, layers, allowed, dimmed=bare.least_stops > 0)


def takes_scrims(source: Source) -> bool:
    """Whether a scrim fits before a source: a head with a lens, so no window, tube, street lamp or practical.

    Common practice, no source.
    """
    return source.kind not in _NO_LENS and source.role is not Role.PRACTICAL


def is_plain(choice: Choice) -> bool:
    """Whether there are so few stacks that all are candidates."""
    return choice.count <= MOST_PLAIN
