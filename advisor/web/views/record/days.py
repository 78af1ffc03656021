"""Two days of one shot beside each other: what drifted, and what is to hang then and now."""

from collections.abc import Sequence
from dataclasses import dataclass

from ....advice.overview.two_days import Days, LightChange, SourceOnBothDays
from ....advice.plan.plan import Plan
from ....advice.readings.chromaticity import WhitePoint
from ....model.sets.phrases import counted, grouped
from ....store import StoredSet
from ....store.tables.records import SetSummary
from ...wording.stacks import hang
from ...wording.values import (
    capitalize_first,
    day_said,
    duv,
    gel,
    kelvin,
    lux,
    steps,
    stops,
    tenth,
    when_said,
)
from ..choices import OfferedChoice

_SAME_WHITE = "the same white"


@dataclass(frozen=True)
class LightOnTwoDays:
    """How a light changed, in sentences; `then` and `now` are parts that stay whole, as `apart` does.

    `brightness` is empty where either day has no illuminance.
    """

    colour: str
    brightness: str
    then: tuple[str, ...]
    now: tuple[str, ...]
    apart: tuple[str, str]


@dataclass(frozen=True)
class DayRow:
    """A source on both days; `patches` are then and now, none where it was not read again.

    `note` says why nothing can be said of it bare; `bare` and `hung` are None where there is nothing to say.
    """

    source_id: int
    heading: str
    patches: tuple[str, ...]
    otherwise: str
    note: str
    bare: LightOnTwoDays | None
    advised: str
    behind: str
    hung: LightOnTwoDays | None


@dataclass(frozen=True)
class TwoDays:
    """A set and another day of it; sentences are empty where there is nothing to say.

    `later` says which day is now where it is the other one.
    """

    heading: str
    waiting: str
    hung: str
    later: str
    others: tuple[OfferedChoice, ...]
    rows: tuple[DayRow, ...]
    gone: str
    new: str


@dataclass(frozen=True)
class TwoSets:
    """The set whose page it is, and the one that it is compared with: either may be the later day."""

    here: StoredSet
    other: StoredSet


def view_of(
    now: StoredSet, plans: tuple[Plan, Plan], days: Days, shown: TwoSets, others: Sequence[SetSummary]
) -> TwoDays:
    """Return two days, compared, with their plans of then and now, which is the later set.

    `others` are the days to choose from.
    """
    ordered = [*days.drifted, *(pair for pair in days.pairs if pair not in days.drifted)]
    return TwoDays(
        heading=_heading(days),
        waiting=_waiting(days),
        hung=_hung(days),
        later="" if now is shown.here else f"Now is {now.name}.",
        others=tuple(
            OfferedChoice(str(one.id), said, one.id == shown.other.id)
            for one, said in zip(others, _named(others), strict=True)
        ),
        rows=tuple(_row(pair, plans, now.sources[pair.now].id) for pair in ordered),
        gone=_alone("then", days.gone, days),
        new=_alone("now", days.new, days),
    )


def _named(others: Sequence[SetSummary]) -> list[str]:
    """Name each day by its date and its set, the date first: a phone cuts what is long at its end.

    The hour is said only of those that would else read the same.
    """
    named = [f"{day_said(one.changed_at)}, {one.name}" for one in others]
    return [
        said if named.count(said) == 1 else f"{when_said(one.changed_at)}, {one.name}"
        for one, said in zip(others, named, strict=True)
    ]


def _alone(day: str, names: Sequence[str], days: Days) -> str:
    """Say which sources were there on one day only; of two days that share none, how many they are."""
    if not names:
        return ""
    return f"Only {day}: {', '.join(names) if days.pairs else counted(len(names), 'source')}."


def _heading(days: Days) -> str:
    known = sum(pair.comparable for pair in days.pairs)
    if not days.pairs:
        return "No source was there on both days"
    if not known:
        copied = any(pair.copied for pair in days.pairs)
        behind = any(pair.gelled for pair in days.pairs)
        return (
            f"{'Bare, nothing' if behind else 'Nothing'} has been read again yet"
            if copied
            else "Nothing was used the same way on both days"
        )
    if not days.drifted:
        some = "" if known == len(days.pairs) else f" in the {known} compared"
        return f"{'Bare, nothing' if days.apart else 'Nothing'} drifted{some}"
    most = f": {days.drifted[0].name}" + (" most" if len(days.drifted) > 1 else "")
    return f"{len(days.drifted)} of {known} drifted{most}"


def _waiting(days: Days) -> str:
    """Say which of the list the headline does not count; empty where it counts all, or none."""
    every, waiting = len(days.pairs), sum(pair.copied and not pair.gelled for pair in days.pairs)
    behind = sum(pair.copied and pair.gelled is not None for pair in days.pairs)
    otherwise = sum(bool(pair.otherwise) and not pair.copied and pair.bare is not None for pair in days.pairs)
    counts = (
        (waiting, "not read again yet"),
        (behind, "read again behind gel, not bare"),
        (otherwise, "used differently"),
    )
    said = [f"{n} of {every} {'is' if n == 1 else 'are'} {what}." for n, what in counts if 0 < n < every]
    return " ".join(said)


def _hung(days: Days) -> str:
    hung = [pair.name for pair in days.pairs if pair.gelled]
    return f"Behind what hung, {_matching(hung, days.apart)}." if hung else ""


def _matching(hung: Sequence[str], apart: Sequence[SourceOnBothDays]) -> str:
    if len(apart) > 1:
        return f"{len(apart)} of {len(hung)} do not match: {apart[0].name} most"
    if apart:
        by_light = apart[0].gelled and not apart[0].gelled.colour
        return f"{apart[0].name} {'matches in colour, not in light' if by_light else 'does not match'}"
    return f"{hung[0]} matches" if len(hung) == 1 else f"all {len(hung)} match"


def _row(pair: SourceOnBothDays, plans: tuple[Plan, Plan], source_id: int) -> DayRow:
    said = pair.bare is not None and not pair.copied
    return DayRow(
        source_id=source_id,
        heading=f"{pair.name}: {_became(pair)}",
        patches=pair.bare.patches if pair.bare and said else (),
        otherwise=f"{capitalize_first(pair.otherwise)}." if pair.otherwise else "",
        note=_note(pair),
        bare=_changed(pair.bare) if pair.bare and said else None,
        advised=_advised(pair, plans),
        behind=_behind(pair) if pair.gelled else "",
        hung=_changed(pair.gelled) if pair.gelled else None,
    )


def _became(pair: SourceOnBothDays) -> str:
    if pair.bare is None:
        return "not known"
    if pair.copied:
        return "read again behind gel, not bare" if pair.gelled else "not read again yet"
    if pair.otherwise:
        return "used differently"
    if pair.gelled and pair.gelled.drifted != pair.bare.drifted:  # the headline counts either by itself
        return "as it was bare, not behind gel" if pair.gelled.drifted else "drifted bare, not behind gel"
    return "drifted" if pair.bare.drifted else "as it was"


def _note(pair: SourceOnBothDays) -> str:
    if pair.copied:
        return "Bare, not read again since." if pair.gelled else "Not read again since."
    return "" if pair.bare else "On one of the days it read no white."


def _advised(pair: SourceOnBothDays, plans: tuple[Plan, Plan]) -> str:
    """Say what was to be hung then, and what is now; empty where nothing was advised on either day."""
    bests = plans[0].heads[pair.then].best, plans[1].heads[pair.now].best
    was, now = (hang(best) if best else "" for best in bests)
    if was == now:
        return f"{was}, on both days." if was else ""
    return f"{was or 'Nothing advised'} then, {now or 'nothing advised'} now."


def _behind(pair: SourceOnBothDays) -> str:
    then, now = (
        ", ".join(grouped([gel(name) for name in names])) for names in (pair.gels_then, pair.gels_now)
    )
    return f"Behind {then} then{' and' if pair.gels_now == pair.gels_then else f', {now}'} now"


def _changed(one: LightChange) -> LightOnTwoDays:
    apart = f"{capitalize_first(steps(one.steps))} apart,"
    return LightOnTwoDays(
        colour=_colour(one),
        brightness=_brightness(one),
        then=_parts(one.then, one.lux_then),
        now=_parts(one.now, one.lux_now),
        apart=(apart, f"the meter may be off by {tenth(one.detectable_steps)}."),
    )


def _colour(one: LightChange) -> str:
    if not one.colour:
        return "The same white, as far as the meter can tell."
    in_gel = " in terms of gel" if one.words == _SAME_WHITE else ""
    return f"{capitalize_first(one.words)}{in_gel}, more than the meter may be off."


def _brightness(one: LightChange) -> str:
    if one.stops is None:
        return ""
    if not one.light and not one.between:
        return "As bright as then."
    said = f"{stops(abs(one.stops))} {'brighter' if one.stops > 0 else 'darker'}."
    return f"{said} Its stand was moved between the two." if one.between else said


def _parts(white: WhitePoint, illuminance: float | None) -> tuple[str, ...]:
    parts = (kelvin(white.cct), f"Duv\N{NO-BREAK SPACE}{duv(white.duv)}")
    return (*parts, lux(illuminance)) if illuminance else parts
