"""A set: sources, and the white that they are to match."""

from pydantic import Field

from .base import Model, Name, Note
from .quantities import MaxLayers, MaxStops, ToleranceSteps
from .reading import Source
from .target import Target


class Limits(Model):
    """How good is good enough, and what a stack may cost."""

    tolerance_steps: ToleranceSteps = 3.0
    max_layers: MaxLayers = 3
    max_stops: MaxStops | None = None


class LightSet(Model):
    """A named set with its sources. A target that matches a source names it."""

    name: Name
    note: Note = ""
    target: Target
    limits: Limits = Limits()
    sources: list[Source] = Field(default_factory=list, max_length=100)
