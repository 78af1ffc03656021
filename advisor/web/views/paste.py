"""The page of a paste: what each column was taken for, what is asked, what is to be mended, what is saved."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from ...imports.readings.answers import LEFT_OUT, MEANINGS
from ...imports.readings.result import PasteQuestion, Sure, Understood
from ...model import Problem
from ...model.sets.phrases import counted, listed
from ...store import StoredSource
from ..pastes.asks import BehindQuestion
from ..pastes.entries import Entry, over, over_said
from ..pastes.long_texts import ShownText, shown_text
from ..pastes.looks import LookedRow, in_order
from ..pastes.posted import PostedPaste
from ..wording.values import capitalize_first
from .choices import OfferedChoice
from .paste_rows import EntryView, MendView, entries_shown, mend_of

_MEANINGS = [(reply.value, capitalize_first(reply.words)) for reply in MEANINGS]
MOST_WITH_FIELDS = 12
"""So many sources have their fields on the page; of more, those have them that are asked for."""
_AT_FIRST = 40
_MOST_TO_MEND = 20
_LINE = 200


@dataclass(frozen=True)
class ColumnView:
    """A column: its heading, what it was taken for, why and what is in it, and what it may be said to hold.

    Without a `field` nothing can be said of it.
    """

    heading: str
    taken: str
    more: str
    field: str
    choices: tuple[OfferedChoice, ...]


@dataclass(frozen=True)
class QuestionView:
    """What is asked, and the answers as buttons, the likeliest first; a `waiting` one holds rows back."""

    says: str
    replies: tuple[OfferedChoice, ...]
    waiting: bool


@dataclass(frozen=True)
class BehindView:
    """The question whether heads were read behind what hangs on them."""

    key: str
    says: str
    hint: str
    choices: tuple[OfferedChoice, ...]


@dataclass(frozen=True)
class PreviewView:
    """What was understood of a text, and what can be done about it."""

    key: str
    chosen: str
    columns: tuple[ColumnView, ...]
    columns_said: str
    columns_open: bool
    questions: tuple[QuestionView, ...]
    shape: tuple[QuestionView, ...]
    recalled: bool = False
    behind: BehindView | None = None
    mend: tuple[MendView, ...] = ()
    mend_more: tuple[str, ...] = ()
    mend_more_said: str = ""
    all_wrong: tuple[Problem, ...] = ()
    waiting: str = ""
    entries: tuple[EntryView, ...] = ()
    more: tuple[EntryView, ...] = ()
    more_said: str = ""
    last_counts: bool = False
    unused: str = ""
    save: str = ""
    untick: str = ""


@dataclass(frozen=True)
class PasteView:
    """The page: its heading, what was `did` before with links to what was read, and what is wrong.

    `preview` is None where nothing was pasted yet; `bad` counts the rows that were not understood.
    """

    title: str
    text: ShownText
    did: str = ""
    did_more: str = ""
    done: tuple[StoredSource, ...] = ()
    problems: tuple[Problem, ...] = ()
    preview: PreviewView | None = None
    leave: str = "Cancel"
    bad: int = 0

    @property
    def text_open(self) -> bool:
        """Whether the text is what to look at: nothing can be saved, and nothing is asked."""
        return not (self.preview and (self.preview.save or self.preview.waiting))

    @property
    def read_class(self) -> str:
        """The class of the button that reads the text: the main one where the text is to be looked at."""
        return "main" if self.text_open else ""

    def after(self, saved: int, did: str, done: Sequence[StoredSource], behind: bool) -> "PasteView":
        """Return the page as it is once what could be was saved: what is left is to be mended."""
        title = f"{saved} saved, {self.bad} not understood"
        view = replace(self, title=title, done=tuple(done), leave="To the set")
        return replace(view, did=f"{did}.", did_more=_counts(behind)) if done else view


def nothing_pasted(did: str, done: Sequence[StoredSource], behind: bool) -> PasteView:
    """Return the page before anything is pasted; after readings went to sources, it says so."""
    text = ShownText("", whole=True)
    if not done:
        return PasteView("Paste readings", text)
    return PasteView(did, text, did_more=_counts(behind), done=tuple(done), leave="To the set")


def refused_view(text: str, problems: Sequence[Problem], posted: PostedPaste | None = None) -> PasteView:
    """Return the page of a text that could not be read, with what can be said about it."""
    view = PasteView("Nothing understood yet", shown_text(text, problems), problems=tuple(problems))
    if posted is None:
        return view
    shape = tuple(map(_question, posted.now.paste.shape))
    chosen = replace(posted.chosen, answers=posted.now.answers).as_json()
    return replace(view, preview=PreviewView(posted.now.key, chosen, (), "", False, (), shape))


def preview_of(
    posted: PostedPaste,
    entries: Sequence[Entry],
    asked: BehindQuestion | None,
    present: int,
    problems: Sequence[Problem] | None = None,
) -> PasteView:
    """Return what was understood of a text, for a set of so many sources that are `present`.

    Rows that are saved already are not among `entries`.
    """
    look = posted.now
    bad = [row for row in look.rows if row.white is None]
    held = {line for asked in look.paste.asked if asked.blocks and asked.open for line in asked.lines}
    wrong_cell = [row for row in bad if any(cell.says for cell in row.pasted.cells)]
    waiting = [row for row in bad if row.pasted.line in held and row not in wrong_cell]
    hung = [stored.id for stored in asked.heads] if asked else []
    views = entries_shown(entries, posted.chosen, hung, len(entries) <= MOST_WITH_FIELDS)
    fine = [view for view in views if not view.problems]
    rest = fine[_AT_FIRST:]
    rows = sum(len(entry.rows) for entry in entries)
    columns = in_order(look.paste)
    good = len(look.rows) - len(bad)
    wrong_rows = [row for row in bad if row not in waiting]
    alike = () if good or waiting else _in_all(wrong_rows)
    apart = _once_a_line(wrong_rows)
    mended = [] if alike else apart[:_MOST_TO_MEND]
    rest_bad = apart[len(mended) :]
    many = over(entries, present)
    preview = PreviewView(
        key=look.key,
        chosen=posted.chosen.as_json(),
        columns=tuple(map(_column, columns)),
        columns_said=_columns_said(look.paste.columns),
        columns_open=not waiting and (any(c.sure is Sure.LIKELY for c in columns) or not good),
        questions=tuple(map(_question, look.paste.asked)),
        shape=tuple(map(_question, look.paste.shape)),
        recalled=look.recalled and bool(look.answers),
        behind=_behind(asked) if asked else None,
        mend=tuple(map(mend_of, mended)),
        mend_more=tuple(f"Line {row.pasted.line}: {row.pasted.text[:_LINE]}" for row in rest_bad),
        mend_more_said=f"{counted(len(rest_bad), 'row')} as pasted" if rest_bad else "",
        waiting=f"{counted(len(waiting), 'row')} not read until you say." if waiting else "",
        all_wrong=alike,
        entries=tuple([view for view in views if view.problems] + fine[:_AT_FIRST]),
        more=tuple(rest),
        more_said=f"{counted(len(rest), 'source')} more: {rest[0].name} to {rest[-1].name}" if rest else "",
        last_counts=rows > len(entries),
        unused=", ".join(look.paste.ignored).rstrip("."),
        save="" if not rows else f"Save {'the ticked ones' if rows > 1 else 'it'}",
        untick=f"Untick the last {many}" if many else "",
    )
    of = f", of {counted(len(entries), 'source')}" if good > len(entries) > 0 else ""
    wrong = list(posted.problems if problems is None else problems)
    if many and not any(p.where == "sources" for p in wrong):
        wrong.append(over_said(entries, present))
    title = f"{good} of {len(look.rows)} rows understood{of}"
    text = shown_text(look.text, (), [row.pasted.line for row in bad])
    return PasteView(title, text, problems=tuple(wrong), preview=preview, bad=len(bad))


def _once_a_line(bad: Sequence[LookedRow]) -> list[LookedRow]:
    """Return the rows without those of a line that another has already, where the line itself is mended."""
    first: dict[int, str] = {}
    for row in bad:
        if not row.pasted.cells:
            first.setdefault(row.pasted.line, row.pasted.key)
    return [row for row in bad if row.pasted.cells or first[row.pasted.line] == row.pasted.key]


def _in_all(bad: Sequence[LookedRow]) -> tuple[Problem, ...]:
    """Return what is wrong with all of several rows alike: a column is what is to be said."""
    first = bad[0].problems[:1] if len(bad) > 1 else ()
    if not first or any([p.says for p in row.problems] != [first[0].says] for row in bad):
        return ()
    return (first[0].model_copy(update={"says": f"No row understood: {first[0].says}"}),)


def added_said(done: Sequence[StoredSource], readings: int, added: int) -> str:
    """Say where readings went: “2 readings added to Window, 1 new source”."""
    names = listed([stored.source.name for stored in done])
    new = f", {counted(added, 'new source')}" if added else ""
    return f"{counted(readings, 'reading')} added to {names}{new}"


def _counts(behind: bool) -> str:
    return "Read with the gel on." if behind else "The last one added is the reading that counts."


def _columns_said(taken: Sequence[Understood]) -> str:
    words = list(dict.fromkeys(column.meaning for column in taken))
    if taken and not any(column.key for column in taken):
        return f"Read as: {listed(words)}"  # messages have no columns
    return f"Columns: {listed(words)}" if words else "No column understood"


def _column(column: Understood) -> ColumnView:
    now = column.field if column.meaning else LEFT_OUT
    offered = [OfferedChoice(value, words, value == now) for value, words in _MEANINGS]
    if not any(choice.chosen for choice in offered):
        offered.insert(0, OfferedChoice("", capitalize_first(column.meaning), chosen=True))
    likely = "likely " if column.sure is Sure.LIKELY else ""
    return ColumnView(
        heading=column.heading,
        taken=f"{likely}{column.meaning}" if column.meaning else "not used",
        more=". ".join(
            part
            for part in (", ".join(column.examples), capitalize_first(column.why) if column.why else "")
            if part
        ),
        field=f"is-{column.key}" if column.key else "",
        choices=tuple(offered),
    )


def _question(question: PasteQuestion) -> QuestionView:
    likeliest = sorted(question.choices, key=lambda reply: reply.value != question.likely)
    replies = [
        OfferedChoice(f"{question.key}={reply.value}", reply.words, reply.value == question.answer)
        for reply in likeliest
    ]
    return QuestionView(capitalize_first(question.says), tuple(replies), question.blocks and question.open)


def _behind(asked: BehindQuestion) -> BehindView:
    names = listed([stored.source.name for stored in asked.heads])
    how = "was it" if len(asked.heads) == 1 else "were they"
    words = {"hung": "with the gel on", "bare": "bare, with the gel off"}
    return BehindView(
        key=asked.key,
        says=f"Gel hangs on {names}. How {how} read?",
        hint=f"By the figures: {'with the gel on' if asked.likely == 'hung' else 'bare'}.",
        choices=tuple(OfferedChoice(value, said, asked.answer == value) for value, said in words.items()),
    )
