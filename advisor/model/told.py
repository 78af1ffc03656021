"""What the API tells of gels and of sets, and the reading that it takes."""

from typing import Literal

from pydantic import Field

from .advice import Shift, StackAdvice
from .basis.base import Model, Name, Time
from .basis.problems import Problem
from .gels.gel import Known
from .sets.lightset import MAX_SOURCES, Limits
from .sets.reading import Kind, Reading
from .sets.target import Target
from .sets.work import Stage


class ListedGel(Model):
    """A gel of the table: what it does, and how that is known."""

    name: str = Field(description="as every answer writes it; a request may write ¼ CTO or quarter CTO")
    family: str = Field(description="what it is for, such as CTO")
    fraction: str = Field(description="1/8 to full; of ND its density")
    mired: float = Field(description="shift on its reference, above 0 warms [MK⁻¹]")
    cc: float = Field(description="green–magenta shift there, above 0 adds green [CC = 1000 × Duv]")
    stops: float | None = Field(description="light lost there [stop]; null where it follows from the colour")
    stock: int | None = Field(description="sheets at hand; null for plenty")
    on: bool = Field(description="whether it takes part in the ranking")
    known: Known | None = Field(description="how its figures are known; null where nobody says")
    percent: float | None = Field(description="how far its shift may be off, nine sheets in ten [%]")
    reference: float | None = Field(description="where the shift holds [K]; null as a gel of its way has it")
    measured: bool = Field(description="whether its transmittance was measured")
    note: str = Field(description="what the crew noted")


class GelList(Model):
    """The gel table in force."""

    revision: str = Field(description="names this table: another one has another revision")
    gels: list[ListedGel] = Field(description="the rows, in the table's order")


class ListedSet(Model):
    """A set in a list."""

    id: int = Field(description="its number in addresses")
    name: Name = Field(description="what the crew calls it")
    sources: int = Field(description="how many sources it has")
    changed_at: Time = Field(description="when it or a source of it was last changed, ISO 8601 in UTC")


class SetList(Model):
    """The sets, the one changed last first."""

    sets: list[ListedSet] = Field(description="a line each")


class ToldSource(Model):
    """A source of a set: what was read, what it needs, what to do, and how far that has come."""

    number: int = Field(description="its own in the set, as on its tag; stands in addresses")
    name: Name = Field(description="what the crew calls it")
    kind: Kind = Field(description="what makes the light")
    reading: Reading | None = Field(description="as it counts at the level in use; null where none does")
    needed: Shift | None = Field(description="what carries it to where it is wanted; null without advice")
    words: str = Field(description="what to do about it now, as its page says it; empty without advice")
    stage: Stage | None = Field(description="how far the work on it has come; null while it is bare")
    hangs: list[str] = Field(description="the gels that hang on it")
    stack: StackAdvice | None = Field(description="as decided, else as advised; null without advice")
    reached: bool = Field(description="false where gel cannot bring it in")
    problems: list[Problem] = Field(description="why nothing can be advised; empty else")


class ToldSet(ListedSet):
    """A set with its plan."""

    sources: list[ToldSource] = Field(max_length=MAX_SOURCES)  # type: ignore[assignment]
    note: str = Field(description="what the crew noted")
    target: Target = Field(description="the white that all are to match")
    limits: Limits = Field(description="what is near enough, and what a stack may cost")
    revision: int = Field(description="rises with every change of it")
    gel_table: str = Field(description="the revision of the gel table that the plan goes by")
    words: str = Field(description="how far it has come, in a sentence")


class SentReading(Reading):
    """A reading of a source of a set; with `gels`, behind those; without, of the bare source.

    It was taken now, or at `taken_at`; a time from before the source was in the set counts as now.
    """


class ToldWork(Model):
    """Long work, which a call that was answered by 503 names under `working`."""

    number: str = Field(description="what it is asked after by")
    state: Literal["running", "done", "failed", "stopped", "unknown"] = Field(
        description="running while it waits its turn, too; unknown once nobody remembers it"
    )
    percent: int = Field(ge=0, le=100, description="how much of it is done, where it tells that [%]")
