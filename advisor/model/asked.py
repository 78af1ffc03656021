"""Known heads in the API: asked for in a source in place of a reading, listed, told whole, and tested."""

from typing import Annotated, Any, Self

from pydantic import BeforeValidator, ConfigDict, Field, ValidationError, model_validator

from .advice import MAX_ASKED, AdviceRequest, PredictionRequest
from .basis.base import NAME_LENGTH, Model, Name, Time, Who
from .basis.problems import problems_in, short, wrong
from .sets.head_file import MOST_FILED, FiledHead, FiledTest, refuse_unasked
from .sets.known_head import MOST_STEPS, HeadReading, HeadTest, KnownHead
from .sets.lightset import AS_ON_SET, RequestAccuracy
from .sets.reading import UNREAD, Kind, Setting
from .sets.source import Source

_UNDATED = {"taken_at": None, "tested_at": None}


def _head(value: object) -> object:
    number = isinstance(value, int) and not isinstance(value, bool) and 0 < value < 2**63
    name = isinstance(value, str) and 0 < len(value.strip()) <= NAME_LENGTH
    if value is None or number or name:
        return value
    raise wrong(f"{short(value)} is not a known head", "the id of a known head, or its name")


def _reading_or_head(schema: dict[str, Any]) -> None:
    """Say in a schema that a source needs no reading where it names a head."""
    schema["required"] = [name for name in schema["required"] if name != "reading"]


class AskedSource(Source):
    """A source of a request. In place of a reading it may name a known `head`, by its id or its name.

    Then its light is that of the head's tests at `level` (else as at the first reading of the newest test),
    with `modifier` (empty for none) and with its dials at `dial`. What else it does not say, such as its kind
    and its dial range, is the head's.
    """

    model_config = ConfigDict(json_schema_extra=_reading_or_head)

    head: Annotated[int | str | None, BeforeValidator(_head)] = None
    dial: Setting | None = None

    @model_validator(mode="before")
    @classmethod
    def _of_head(cls, value: Any) -> Any:
        if not isinstance(value, dict):
            return value
        if value.get("head") is None:
            if value.get("dial") is not None:
                raise wrong("dial is given without head", "head with dial, else dial in the reading")
            return value
        if value.get("reading") is not None or value.get("readings"):
            raise wrong("the source gives a head and readings", "a head, or reading with readings")
        return {**value, "reading": UNREAD}


class AskedAdvice(AdviceRequest):
    """Sources to bring to a target with the gels given, or (null) with the table in force."""

    accuracy: RequestAccuracy = AS_ON_SET
    # A list of sources is no list of these to a type checker, as one could be put into it.
    sources: list[AskedSource] = Field(min_length=1, max_length=MAX_ASKED)  # type: ignore[assignment]


class AskedPrediction(PredictionRequest):
    """One source and the stack that somebody means to hang on it; an empty stack is the bare source."""

    source: AskedSource
    accuracy: RequestAccuracy = AS_ON_SET


class ListedKnownHead(Model):
    """A known head in a list: its newest test, null without one, and how many readings of that count."""

    id: int
    name: Name
    kind: Kind
    group: str
    tested_at: Time | None
    readings: int


class HeadList(Model):
    """The known heads, by group and name."""

    heads: list[ListedKnownHead] = Field(max_length=MOST_FILED)


class ToldHead(FiledHead):
    """A known head with all its tests and readings, as its file has them."""

    id: int


class TestedHead(Model):
    """A test of a head as one document.

    A head of that name that is there gets the test, and stays as it is; else it is added. Without `test` that
    is what the readings say: their levels, modifiers and dials, in the order of the readings. `begun_at` is
    now where it is not said; with it, the same document again adds nothing. A reading that does not say when
    it was taken was taken at `begun_at`.
    """

    head: KnownHead
    begun_at: Time | None = Field(default=None, description="ISO 8601 with its zone")
    test: HeadTest | None = None
    readings: list[HeadReading] = Field(min_length=1, max_length=MOST_STEPS)

    @model_validator(mode="after")
    def _asked_for(self) -> Self:
        try:
            test = self.asked
        except ValidationError as error:
            [problem, *_] = problems_in(error)
            raise wrong(f"the readings are not one test: {problem.says}", problem.allowed) from None
        for reading in self.readings:
            refuse_unasked(test, reading)
        return self

    @property
    def asked(self) -> HeadTest:
        """What was to be read, as said or as read."""
        return self.test or self._as_read()

    def filed(self, now: str, who: Who = "") -> FiledHead:
        """Return it as a file of heads has it, begun `now` by `who` where it does not say when."""
        begun_at = self.begun_at or now
        readings = [
            {"taken_at": r.taken_at or begun_at, "who": who, "reading": dict(r) | _UNDATED}
            for r in self.readings
        ]
        filed = FiledTest.model_validate(
            {"begun_at": begun_at, "who": who, "test": self.asked, "readings": readings}
        )
        return FiledHead(head=self.head, tests=[filed])

    def _as_read(self) -> HeadTest:
        dials = list(dict.fromkeys(_dial(r.dial) for r in self.readings if r.dial))
        return HeadTest(
            levels=list(dict.fromkeys(r.level for r in self.readings)),
            modifiers=list({r.modifier.casefold(): r.modifier for r in self.readings}.values()),
            dials=[Setting(cct=cct, green=green) for cct, green in dials],
        )


def _dial(setting: Setting) -> tuple[float, float]:
    return setting.cct, setting.green
