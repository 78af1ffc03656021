"""The ways on for a set as it hangs: what is asked of ``/api/v1/plans``, and what it answers."""

from typing import Literal

from pydantic import Field

from .advice import Seen, White
from .asked import AskedAdvice
from .basis.base import Model, Name
from .sets.reading import Setting
from .sets.target import Target


class WhatChanged(Model):
    """What changed on a set: the light of `sources`, the target, or heads that failed.

    `sources` names those whose light moved. `before` is the target before the present one. `failed` names
    heads that are dark: what hung on them is free for others. With nothing said it is found from readings.
    """

    sources: list[Name] = Field(default_factory=list, max_length=100)
    before: Target | None = None
    failed: list[Name] = Field(default_factory=list, max_length=100)


class AskedPlans(AskedAdvice):
    """A set as it hangs (`work` or `hung` of its sources), and what changed."""

    changed: WhatChanged = WhatChanged()


class ToldTurn(Model):
    """What one source does in a plan, and what comes of it."""

    name: str
    gels: list[str] = Field(description="what hangs then")
    take_off: list[str]
    hang: list[str]
    dial: Setting | None = Field(description="the setting to turn its dials to; null where they stay")
    steps: float = Field(description="how far off it then is [step]")
    seen: Seen
    in_tolerance: bool


class ToldPlan(Model):
    """A plan: hold the white that was matched, follow what moved, or move the white (camera)."""

    way: Literal["hold", "follow", "white"]
    target: Target
    white: White
    moves: int = Field(description="sheets that come off or go on")
    heads: int = Field(description="sources that somebody has to go to")
    miss_steps: float = Field(description="what is beyond the tolerances, added up [step]")
    stops: float | None = Field(
        description="light lost at the subject [stop]; null where a source has no lux"
    )
    turns: list[ToldTurn]
    used_again: list[str] = Field(description="gels of cuts that come down and go up elsewhere")
    new: list[str] = Field(description="gels of cuts that come from the truck")


class ToldPlans(Model):
    """At most three plans, the fewest moves first, of equal ones the least miss; none where all fits."""

    moved: list[str] = Field(description="sources whose light moved")
    target_moved: bool
    plans: list[ToldPlan]
    left_out: list[str] = Field(description="sources that take no part: nothing hangs on them yet")
