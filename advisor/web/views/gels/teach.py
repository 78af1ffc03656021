"""The page that teaches a gel: what a fit came to, what has to be decided, and what was read."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass

from ....advice.readings.chromaticity import WhitePoint
from ....advice.stacks.gel_arrays import gel_arrays_of, nominal_stops
from ....advice.teaching.teach import Lesson, Question
from ....imports.gels.transmittance import CurveAs
from ....model import Gel, Problem, StackAdvice
from ....store import StoredTable
from ...forms.form import Form
from ...gels.pairs import KnownPair
from ...wording.stacks import hang
from ...wording.values import capitalize_first, cc, mired, steps, stops
from ...wording.values import gel as gel_words
from ..layers import gel_choices
from .curves import WayToTake

_FIELDS = (
    *("name", "cct", "duv", "lux", "kind", "gelled_cct", "gelled_duv", "gelled_lux"),
    "transmittance",
)


@dataclass(frozen=True)
class ChangedBest:
    """A source whose best stack the new row changes."""

    set_name: str
    source: str
    before: StackAdvice
    after: StackAdvice


@dataclass(frozen=True, eq=False)
class Shown:
    """A lesson that is shown before it is kept, with what its page says of it.

    `doubt` says what is odd about a curve, with the `ways` to take it, the likeliest first; else `asked` what
    has to be decided, where anything has. `keep` tells the new row from others. `left` is how far each pair
    is from the fit, by its key. [step]
    """

    lesson: Lesson
    changes: Sequence[ChangedBest]
    keep: str
    doubt: str = ""
    ways: Sequence[WayToTake] = ()
    sure: str = ""
    holds: str = ""
    asked: str = ""
    left: Mapping[str, float] | None = None


@dataclass(frozen=True)
class Fitted:
    """What was fitted: a row before and after, each in a name and its figures, and what that changes.

    `sure` and `holds` say how sure a fit is, and of what lamps it holds; empty of a curve.
    """

    sure: str
    holds: str
    off: str
    rows: tuple[tuple[str, tuple[str, ...]], ...]
    changes: tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class TeachingWay:
    """What may be done where something has to be decided: its value, empty where the row stays as it is."""

    value: str
    words: str


@dataclass(frozen=True)
class PairRow:
    """A pair of readings that can be ticked; `off` says how far it is from the fit, empty before one."""

    key: str
    ticked: bool
    words: str
    bare: WhitePoint
    behind: WhitePoint
    off: str


@dataclass(frozen=True)
class TeachView:
    """The form, and above it what was `fitted`; None where nothing was, or it has to be asked how to take it.

    `asked` has to be decided first, in one of the `ways`, of which the first is the likeliest. `keep` is what
    the form sends to save what is shown, empty where that may not be. `name` is the gel's, empty of none.
    `lacking` says that no reading teaches it yet, and what to type; empty where some does.
    """

    title: str
    heading: str
    fitted: Fitted | None
    begun: bool
    asked: str
    ways: tuple[TeachingWay, ...]
    keep: str
    version: int
    elsewhere: tuple[Problem, ...]
    name: str
    gels: tuple[tuple[str, str], ...]
    pairs: tuple[PairRow, ...]
    bare: str
    lacking: str


def view_of(
    now: StoredTable,
    form: Form,
    known: Sequence[KnownPair],
    ticked: Collection[str],
    shown: Shown | None,
) -> TeachView:
    """Return the page with what was typed in `form`; `ticked` are the keys of the `known` pairs to use."""
    gel = now.table.find(form.value("name"))
    title = f"Teach {gel_words(gel.name) if gel else 'a gel'}"
    head = form.value("head")
    decided = shown is not None and not shown.doubt
    return TeachView(
        title=title,
        heading=_heading(gel, shown) if gel and shown else title,
        fitted=_fitted(shown) if shown and decided else None,
        begun=shown is not None,
        asked=_asked(shown) if shown else "",
        ways=tuple(_ways(shown)) if shown else (),
        keep=shown.keep if shown and decided and not shown.lesson.question else "",
        version=now.version,
        elsewhere=tuple(form.elsewhere(_FIELDS)),
        name=gel.name if gel else "",
        gels=gel_choices(now.table.rows),
        pairs=tuple(_pair(one, ticked, shown) for one in known),
        bare=f"Bare: {head}" if head else "Bare",
        lacking=_lacking(gel_words(gel.name)) if gel and not (known or head or shown) else "",
    )


def _lacking(gel: str) -> str:
    return f"No reading teaches {gel} yet. Type one bare, and one behind {gel} alone."


def _heading(gel: Gel, shown: Shown) -> str:
    name = capitalize_first(gel_words(gel.name))
    if shown.doubt:
        return f"{name}: how to take this curve?"
    return f"{name} is {'as its row says' if shown.lesson.off_steps < 1 else 'off its row'}"


def _fitted(shown: Shown) -> Fitted:
    lesson = shown.lesson
    return Fitted(
        sure=f"{shown.sure}." if lesson.fit else "",
        holds=shown.holds,
        off=f"The row was {steps(lesson.off_steps)} from what was measured.",
        rows=tuple((words, _figures(row)) for words, row in (("Now", lesson.old), ("Fitted", lesson.new))),
        changes=tuple((change.source, _change(change)) for change in shown.changes),
    )


def _figures(row: Gel) -> tuple[str, ...]:
    lost = nominal_stops(gel_arrays_of((row,)))[row.name]
    return mired(row.mired), cc(row.cc), stops(lost)


def _change(change: ChangedBest) -> str:
    return f"{change.set_name}: {hang(change.before)} becomes {hang(change.after)}"


def _asked(shown: Shown) -> str:
    return f"{capitalize_first(shown.doubt)}." if shown.doubt else shown.asked


def _ways(shown: Shown) -> list[TeachingWay]:
    if shown.doubt:
        return [_way_to_take(way) for way in shown.ways]
    if not (question := shown.lesson.question):
        return []
    both = [TeachingWay("anyway", "Use both")] if question is Question.BETTER else []
    return [TeachingWay("", "Keep the row"), *both, TeachingWay("readings", "Use the readings alone")]


def _way_to_take(way: WayToTake) -> TeachingWay:
    if way.value == CurveAs.LABEL:
        return TeachingWay("", way.words)
    return TeachingWay(way.value, f"{way.words}: {way.does}")


def _pair(known: KnownPair, ticked: Collection[str], shown: Shown | None) -> PairRow:
    bare, behind = known.whites
    left = (shown.left or {}).get(known.key) if shown else None
    return PairRow(
        key=known.key,
        ticked=known.key in ticked,
        words=f"{known.where or 'Typed here'}: {known.kind.words}",
        bare=bare,
        behind=behind,
        off="" if left is None else f"{steps(left)} from the fit",
    )
