"""The light path of planned heads, in colours."""

from collections.abc import Sequence

from ...advice.pictures.light_path import LightPath, ShownLight, light_paths
from ...advice.plan.light import stood, through_best, uv_read
from ...advice.plan.plan import Plan
from ...model import StackAdvice


def light_path_of(plan: Plan, i: int, stack: StackAdvice) -> LightPath | None:
    """Return the `i`-th head's light through a stack, as colours for the screen."""
    if plan.target is None or plan.gel_arrays is None or i not in plan.prepared:
        return None
    read = uv_read(plan, i) if stack is plan.heads[i].best else None
    [path] = light_paths([ShownLight(stood(plan, i, stack), stack, read)], plan.gel_arrays)
    return path


def best_light_paths(plan: Plan, indices: Sequence[int]) -> list[LightPath | None]:
    """Return the light of some heads, by their indices, through the best stack of each; None without one."""
    if plan.target is None or plan.gel_arrays is None:
        return [None for _ in indices]
    best = through_best(plan, indices)
    paths = light_paths([ShownLight(*one) for one in best.values()], plan.gel_arrays)
    found = dict(zip(best, paths, strict=True))
    return [found.get(i) for i in indices]
