"""The columns of a table, understood together: which are used, which are not, which are to be asked about."""

from collections.abc import Sequence
from dataclasses import dataclass, field

from ...model.basis.units import FOOT_CANDLE
from ..grids.contents import NO_HEADING
from ..grids.recognise import Cells, recognise
from ..vocabulary.headings import DERIVED, FIGURES, MEASURED, Field, Heading, is_exposure
from ..vocabulary.qualifiers import Qualifier, quality_of, says_measured
from .answers import columns_said, heading_said, keys_and_values
from .result import Answers, PasteQuestion, Reply, Sure, Understood

_SHOWN_UNITS = {Field.CCT: " [K]", Field.LUX: " [lx]", Field.LEVEL: " [%]", Field.DIAL_CCT: " [K]"}
_PARTNER = {Field.MIRED: Field.CCT, Field.CC: Field.DUV}
BOTH = "both"
"""Answer that what was read bare and behind gel are both readings."""
_EXPOSURE = "an exposure value is not an illuminance"


@dataclass(frozen=True)
class Columns:
    """`used[field]` is (position, factor); `taken` and `unused` say of each column what it was taken for.

    `ssi_reference` is what the SSI that is used was taken against. `asked` is what nobody can tell of the
    columns; no row can be read before those of the keys `stopping` are answered.
    """

    used: dict[Field, tuple[int, float]]
    taken: list[Understood]
    unused: list[Understood] = field(default_factory=list)
    ssi_reference: str | None = None
    asked: list[PasteQuestion] = field(default_factory=list)
    stopping: frozenset[str] = frozenset()

    @property
    def open(self) -> list[PasteQuestion]:
        """What must be answered before a row can be read."""
        return [question for question in self.asked if question.key in self.stopping and question.open]


@dataclass
class _Work:
    """Columns of which some are to be chosen: what each was `found` to hold, and why some are left out."""

    headings: list[str]
    cells: Cells
    answers: Answers
    said: dict[int, str]
    found: list[Heading | None]
    notes: dict[int, str]
    asked: list[PasteQuestion] = field(default_factory=list)


def resolve(
    headings: list[str], *, answers: Answers | None = None, cells: Cells | None = None, first: int = 0
) -> Columns:
    """Understand all headings of a table together; `answers` say what a column holds, whatever its heading.

    `cells` are those of each column: what they hold tells columns whose headings nobody knows. `first` is the
    number of the first column for answers. Where several columns can be the name, kind or note, the likeliest
    is taken; of lux and foot-candles, lux; of several Ra or SSI, the first of the likeliest. SSI counts only
    if it names its reference. Two columns that say the same thing, and not alike, are asked about.
    """
    answers = answers or {}
    said = columns_said(answers, first, len(headings))
    cells = cells or [[] for _ in headings]
    recognised = recognise(headings, cells, {i: heading_said(value) for i, value in said.items()})
    work = _Work(headings, cells, answers, said, recognised.found, recognised.notes)
    used, reference = _use(work)
    _leave_gels(work, used)
    taken, unused = [], []
    named = keys_and_values(work.found, first)
    for i, (text, heading) in enumerate(zip(headings, work.found, strict=True)):
        answer = said.get(i, "")
        if i not in work.notes and heading is not None:
            sure = Sure.LIKELY if i in recognised.likely else Sure.SAID
            sure = Sure.CHOSEN if answer else sure
            what = {"meaning": _meaning(heading), "field": named[i][1], "sure": sure}
            taken.append(Understood(heading=text.strip(), key=named[i][0], answer=answer, **what))
        elif text.strip():
            sure = Sure.CHOSEN if answer else Sure.LEFT_OUT
            why = work.notes.get(i, _EXPOSURE if is_exposure(text) else "")
            what = {"meaning": "", "sure": sure, "why": why}
            unused.append(Understood(heading=text.strip(), key=named[i][0], answer=answer, **what))
    stopping = frozenset(question.key for question in work.asked)
    return Columns(used, taken, unused, reference, work.asked, stopping)


def _leave_gels(work: _Work, used: dict[Field, tuple[int, float]]) -> None:
    """Leave out which gel hung, where each row has a reading behind it and the bare one counts."""
    read = [work.headings[at] for what, (at, _) in used.items() if what in MEASURED]
    if Field.GEL in used and any(quality_of(heading) is Qualifier.BARE for heading in read):
        at, _ = used.pop(Field.GEL)
        work.notes[at] = "the reading without it counts"


def _use(work: _Work) -> tuple[dict[Field, tuple[int, float]], str | None]:
    """Choose a column for each field."""
    by_field: dict[Field, list[tuple[int, Heading]]] = {}
    for i, heading in enumerate(work.found):
        if heading is not None and i not in work.notes:
            by_field.setdefault(heading.field, []).append((i, heading))
    used: dict[Field, tuple[int, float]] = {}
    reference: str | None = None
    for what, at in by_field.items():
        if what in DERIVED and _PARTNER[what] in by_field:
            work.notes |= {i: DERIVED[what] for i, _ in at}
            continue
        if what is Field.SSI:
            bare = [i for i, heading in at if heading.reference is None]
            work.notes |= dict.fromkeys(bare, "SSI needs its reference in the heading, as in SSI P3200")
            at = [column for column in at if column[0] not in bare]
            if not at:
                continue
        at.sort(key=lambda column: (column[0] not in work.said, *_preference(column[1])))
        (best_at, best), rest = at[0], at[1:]
        same = (best_at in work.said, _preference(best))
        twice = [(i, h) for i, h in rest if (i in work.said, _preference(h)) == same]
        if twice and what not in FIGURES:
            best_at, best = _ask_which(work, what, sorted([(best_at, best), *twice], key=lambda p: p[0]))
        used[what] = (best_at, best.factor)
        reference = best.reference or reference
        others = [i for i, _ in at if i != best_at]
        if what is Field.CCT and len(others) == 1 and _without_headings(work) and Field.LUX not in by_field:
            used[Field.LUX], others = (others[0], 1.0), []  # what is left of two is the light
        work.notes |= {i: f"{work.headings[best_at].strip()} is used as the {what}" for i in others}
    return used, reference


def _without_headings(work: _Work) -> bool:
    return all(NO_HEADING.fullmatch(heading) for heading in work.headings)


def _ask_which(work: _Work, what: Field, at: list[tuple[int, Heading]]) -> tuple[int, Heading]:
    """Ask which of some columns counts, unless they say the same; return the one that does for now."""
    if _alike(work.cells, [i for i, _ in at]):
        return at[0]
    figures = [column for column in at if any(any(map(str.isdigit, cell)) for cell in work.cells[column[0]])]
    if len(figures) == 1:
        return figures[0]  # a column "K" of letters is no CCT
    if what is not Field.CCT and (beside := _beside(work, [i for i, _ in at])) is not None:
        return next(column for column in at if column[0] == beside)
    key = f"which-{what.value}"
    answer = work.answers.get(key, "")
    chosen = next((column for column in at if str(column[0] + 1) == answer), None)
    named = " and ".join(f"column {i + 1} ({work.headings[i].strip()!r})" for i, _ in at)
    likely = _likeliest(work, at)
    choices = [Reply(value=str(i + 1), words=work.headings[i].strip()[:60]) for i, _ in at]
    if what is Field.CCT and _are_bare_and_gelled(work, [i for i, _ in at]):
        choices = [Reply(value=BOTH, words="Both, bare and behind its gel"), *choices]
    work.asked.append(
        PasteQuestion(
            key=key,
            says=f"{named} both give {what}. Which one was read?",
            choices=choices,
            likely=choices[0].value if choices[0].value == BOTH else str(likely + 1),
            answer=answer if chosen else "",
            lasting=True,
        )
    )
    return chosen or next(column for column in at if column[0] == likely)


def _beside(work: _Work, at: Sequence[int]) -> int | None:
    """Return which of some columns goes with the CCT that counts, where that is asked: "Duv bare"."""
    asked = next((question for question in work.asked if question.key == f"which-{Field.CCT.value}"), None)
    counts = (asked.answer or asked.likely) if asked else ""
    if not asked or not counts:
        return None
    bare = counts == BOTH
    quality = Qualifier.BARE if bare else quality_of(work.headings[int(counts) - 1])
    alike = [i for i in at if quality_of(work.headings[i]) is quality]
    return alike[0] if quality is not None and len(alike) == 1 else None


def _are_bare_and_gelled(work: _Work, at: Sequence[int]) -> bool:
    """Whether two columns are of one light bare and behind gel, and another column names the gel."""
    said = {quality_of(work.headings[i]) for i in at}
    gels = any(heading is not None and heading.field is Field.GEL for heading in work.found)
    return gels and len(at) == len(said) and said == {Qualifier.BARE, Qualifier.GELLED}


def _likeliest(work: _Work, at: list[tuple[int, Heading]]) -> int:
    """Return the column that was likely read: the bare one before that behind gel, and no target."""
    order = [Qualifier.BARE, None, Qualifier.OTHER, Qualifier.GELLED, Qualifier.TARGET, Qualifier.ERROR]
    return min(
        (i for i, _ in at),
        key=lambda i: (not says_measured(work.headings[i]), order.index(quality_of(work.headings[i]))),
    )


def _alike(cells: Cells, at: list[int]) -> bool:
    """Whether some columns hold the same cells, and any."""
    columns = [list(cells[i]) for i in at]
    return any(columns[0]) and all(column == columns[0] for column in columns[1:])


def _preference(heading: Heading) -> tuple[float, ...]:
    """Rank two columns of one field: the lower is taken, and equal ones contradict each other."""
    if heading.field is Field.LUX:
        return (heading.factor != 1.0, heading.factor)
    return () if heading.field in MEASURED else (heading.rank,)


def _meaning(heading: Heading) -> str:
    if heading.factor == FOOT_CANDLE:
        return f"{heading.field} [fc, read as lx]"
    if heading.reference:
        return f"{heading.field} against {heading.reference}"
    unit = _SHOWN_UNITS.get(heading.field, "")
    return f"{heading.field}{unit}" + ("" if heading.factor == 1.0 else f", × {heading.factor:g}")
