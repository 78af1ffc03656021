"""A head in the list of a set: what to do about it, and how it is."""

from dataclasses import dataclass

from ....advice.pictures.light_path import LightPath
from ....model import Problem
from ...plans.since import Since
from ..heads import Light, Quality


@dataclass(frozen=True)
class Bare:
    """What a source reads bare, or `about`, where that was worked out; and what it needs from there."""

    verb: str
    white: Light
    conditions: str
    needed: str
    aim: str


@dataclass(frozen=True)
class HeadEntry:
    """A source in the list: `what` to do about it, empty without advice.

    `if_right` is what follows where an odd reading turns out to be right. Where the decision is out of
    date, `why` says so; `meanwhile` is what hangs, where it is to be changed. `good` and what is read behind
    the gels (`after`) are None where something has to be asked or read first.
    """

    id: int
    number: int
    name: str
    what: str
    if_right: str
    meanwhile: str
    why: Since | None
    path: LightPath | None
    good: Quality | None
    surer: str
    after: Light | None
    bare: Bare | None
    notes: tuple[str, ...]
    problems: tuple[Problem, ...]
