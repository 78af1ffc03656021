"""Light that is asked for: what ``/api/v1/light`` is asked, and what it answers; a page asks the same."""

from typing import Literal

from pydantic import Field

from .asked import AskedAdvice
from .basis.base import Model
from .basis.quantities import FNumber, LitRatio, LitStops, OverKey, ThanNow
from .sets.exposure import Exposure
from .sets.reading import Setting


class AskedAims(Model):
    """What is asked of the light: the f-number of the key alone, and key to fill. None is not asked.

    A mark of a lens stands for what it means: 2.8 is √8. `key_to_fill` is (key + fill) : fill, 4 for 4:1.
    """

    f_number: FNumber | None = None
    key_to_fill: LitRatio | None = None


class AskedLimit(Model):
    """How many stops a source may stand over the key."""

    over_key: OverKey


class AskedThanNow(Model):
    """How many stops brighter a source is to be than it is now, with what hangs on it; below 0 darker."""

    than_now: ThanNow


class AskedContrast(Model):
    """How many stops the lit side is to be over the fill side: what a page asks in place of a ratio."""

    contrast: LitStops


class AskedLight(AskedAdvice, AskedAims):
    """A set's sources with their roles, and what is asked of the light.

    Limits over the key are those of the sources (`over_key`). `exposure` is how the camera is set.
    """

    exposure: Exposure = Exposure()


class ToldWay(Model):
    """One way for a source: where its dimmer or its stand goes, the stack, and the light and colour then.

    It loses light by its dials alone, by gel, by the dimmer, by dimmer and gel, or by distance.
    """

    move: Literal["dials", "gel", "dimmer", "both", "distance"]
    level: float | None = Field(description="where the dimmer is set [%]; null where it stays")
    about: bool = Field(description="whether nobody read it at that level: it is as dimmers usually do")
    times: float = Field(description="the distance, as a multiple of the present one")
    gels: list[str]
    dial: Setting | None
    lux: float
    off_stops: float = Field(description="how far off the wanted light it is [stop]; above 0 too bright")
    steps: float = Field(description="how far off in colour it is [step]")
    cost: float = Field(description="what the list is in order of [step]")


class ToldSolved(Model):
    """What a source is to give, and its ways there, the least cost first; else why there is none."""

    name: str
    wanted_lux: float
    exact: bool = Field(description="neither more nor less; else it is the most that it may give")
    ways: list[ToldWay]
    why: str


class ToldLight(Model):
    """The light solved, with the first way of each source; null where it is not known."""

    sources: list[ToldSolved]
    key_lux: float | None
    f_number: float | None
    words: str = Field(description="the f-number as a crew says it; empty where it is not known")
    key_to_fill: float | None
    missing: list[str] = Field(description="what keeps a part from being solved")
