"""The light path of a planned head, in colours."""

from ...advice.pictures.light_path import LightPath, light_path
from ...advice.plan.light import stood, uv_read
from ...advice.plan.plan import Plan
from ...model import StackAdvice


def light_path_of(plan: Plan, i: int, stack: StackAdvice) -> LightPath | None:
    """Return the `i`-th head's light through a stack, as colours for the screen."""
    if plan.target is None or plan.gel_arrays is None or i not in plan.prepared:
        return None
    head = plan.heads[i]
    read = uv_read(plan, i) if stack is head.best else None
    return light_path(stood(plan, i, stack), stack, plan.gel_arrays, read)
