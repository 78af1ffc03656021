"""Paste or upload readings: what was understood is shown, row by row, before anything is saved."""

from collections.abc import Sequence
from dataclasses import dataclass

from flask import Blueprint, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from ....advice.readings.chromaticity import WhitePoint, measure
from ....imports import TEMPLATE, PastedRow, read_anything
from ....imports.readings.result import joined
from ....imports.text.decode import characters, decode
from ....model import Kind, Problem, Reading, Refused, Source, Work
from ....model.base import free_name, name_key
from ....model.phrases import dial_said, listed
from ....model.problems import short
from ....store import Conflict, StoredSet
from ....store.names import refuse_taken
from ....store.records import StoredSource
from ...forms.files import download, uploaded_file
from ...forms.form import make
from ...heads.behind import at_dials, behind, dials_set, hanging, reads_like_behind, works_found
from ...heads.plans import plan_for
from ...state import state

blueprint = Blueprint("paste", __name__)


@dataclass(frozen=True)
class PreviewRow:
    """A pasted row as the page shows it.

    With a `white` its numbers were understood, without one `problems` says what is wrong. `shown` is
    whether the person has had the row before the eyes, as it now stands.
    """

    pasted: PastedRow
    white: WhitePoint | None = None
    problems: Sequence[Problem] = ()
    use: bool = False
    shown: bool = False

    @property
    def line(self) -> int:
        """Its first line in the text."""
        return self.pasted.line


@dataclass(frozen=True)
class Entry:
    """The rows of one source, all understood, with what stands in the fields beside them.

    `match` is the source of the set that bears its name, `into` is the same where the rows are to be added
    to it. Else `source` is what would be saved, or None where it cannot be, and `problems` says why.
    `proposed` is the name that we would give it and `said` the one that the text gives it: where that
    changes, a name that nobody typed changes too.
    """

    rows: Sequence[PreviewRow]
    name: str
    kind: str
    match: StoredSource | None
    into: StoredSource | None
    source: Source | None
    remarks: Sequence[Problem]
    problems: Sequence[Problem]
    proposed: str
    said: str

    @property
    def line(self) -> int:
        """The first line of its first row in the text."""
        return self.rows[0].line

    @property
    def used(self) -> list[PreviewRow]:
        """The rows that are ticked."""
        return [row for row in self.rows if row.use]

    @property
    def readings(self) -> list[Reading]:
        """The readings of the rows that are ticked, in the order of the text."""
        return [source.reading for source in _sources(self.used)]


@blueprint.route("/sets/<int:set_id>/paste", methods=["GET", "POST"])
def paste_readings(set_id: int) -> ResponseReturnValue:
    """Read a text and show what was understood; with ``save``, add the rows that are ticked.

    After readings went to sources of the set, the address says to which (``to``), how many (``readings``),
    how many sources are new (``added``), and whether some were taken ``behind`` what hangs.
    """
    owner = state().sets.get_set(set_id)

    def page(text: str, **also: object) -> str:
        return render_template("paste.html", owner=owner, text=text, **also)

    if request.method != "POST":
        to = set(request.args.getlist("to", type=int))
        done = [stored for stored in owner.sources if stored.id in to]
        counts = {name: request.args.get(name, 0, type=int) for name in ("readings", "added")}
        return page("", done=done, behind="behind" in request.args, **counts)
    text = request.form.get("text", "")
    try:
        text = _uploaded() or text
        found = read_anything(text)
    except Refused as no:
        return page(text, problems=no.problems), 422
    rows = [_row(pasted) for pasted in found.rows]
    rest = [row for row in rows if row.white is None]
    entries = _entries(rows, owner.sources)
    asks = _asks(owner, entries)
    shown = {"found": found, "entries": entries, "rest": rest, "asks": asks}
    if "save" not in request.form:
        return page(text, **shown)
    try:
        new, further = _chosen(entries)
        works = _behind(asks, further)
        state().sets.add_sources(set_id, new, further, works)
    except Refused as no:
        return page(text, **shown, problems=no.problems), 422
    except Conflict as other:  # between the lines
        assert isinstance(other.current, StoredSource), "a source's conflict is with a source"
        says = f"What hangs on {other.current.source.name} changed meanwhile, so nothing is saved yet"
        asks = _asks(state().sets.get_set(set_id), entries)
        return page(text, **{**shown, "asks": asks}, problems=[_say_behind(says)]), 422
    count = sum(map(len, further.values()))
    if rest:
        # What was not understood stays on the page, under its headings, to be mended and read again.
        text = _without(text, [row.pasted for row in rows if row.white is not None])
        done = [stored for stored in owner.sources if stored.id in further]
        saved = sum(len(entry.used) for entry in entries)
        also = {"done": done, "readings": count, "added": len(new), "behind": bool(works)}
        return page(text, found=found, entries=[], rest=rest, saved=saved, **also)
    if not further:
        return redirect(url_for("sets.show_set", set_id=set_id, added=len(new)))
    return redirect(
        url_for(
            ".paste_readings",
            set_id=set_id,
            to=list(further),
            readings=count,
            added=len(new),
            behind="yes" if works else None,
        )
    )


@blueprint.get("/readings-template.csv")
def template() -> ResponseReturnValue:
    """Download our own layout, to fill in and paste back."""
    return download(TEMPLATE, "text/csv", "readings-template.csv")


def _uploaded() -> str:
    """Return the text of an uploaded file; empty where there is none. Raises Refused."""
    data = uploaded_file()
    if data is None:
        return ""
    text = characters(data, where="the file")
    # Of XML only the open format of spectra is read; `decode` says so of any other.
    return text if "IESTM2714" in text[:2000] else decode(text, where="the file")


def _row(pasted: PastedRow) -> PreviewRow:
    """Check a row further than its numbers, and see whether it is ticked."""
    if pasted.source is None:
        return PreviewRow(pasted, problems=pasted.problems)
    try:
        white = measure(pasted.source.reading)
    except Refused as no:
        return PreviewRow(pasted, problems=[*pasted.problems, *no.problems])
    # Only for the row that the tick stood beside: the text may have been changed since.
    shown = _lines(request.form.get(f"row-{pasted.line}", "")) == _lines(pasted.text)
    use = not shown or f"use-{pasted.line}" in request.form
    return PreviewRow(pasted, white, pasted.problems, use, shown)


def _sources(rows: Sequence[PreviewRow]) -> list[Source]:
    return [row.pasted.source for row in rows if row.pasted.source is not None]


def _entries(rows: Sequence[PreviewRow], present: Sequence[StoredSource]) -> list[Entry]:
    """Put the rows that were understood together by their sources, in the order of the text."""
    groups: dict[int, list[PreviewRow]] = {}
    for row in rows:
        if row.white is not None:
            groups.setdefault(row.pasted.joins or row.line, []).append(row)
    by_name = {name_key(stored.source.name): stored for stored in present}
    taken = set(by_name)
    return [_entry(group, by_name, taken) for group in groups.values()]


def _entry(rows: Sequence[PreviewRow], present: dict[str, StoredSource], taken: set[str]) -> Entry:
    """Apply what was changed on the page to the source of some rows, and check it.

    `present` are the sources of the set and `taken` the names in use, by their keys; its own joins them.
    """
    field, n, used = request.form.get, rows[0].line, [row for row in rows if row.use]
    pasted = joined(_sources(used or rows))
    name, kind, match = pasted.name, pasted.kind.value, present.get(name_key(pasted.name))
    # Who names a source of the set goes on reading it; a name that was made up tells nothing.
    where = str(match.id) if match and rows[0].pasted.named else ""
    remarks: list[Problem] = []
    proposed = name = free_name(name, taken)
    if rows[0].shown:
        kind, where = field(f"kind-{n}", kind), field(f"into-{n}", where)
        typed, was = field(f"name-{n}", name), field(f"was-{n}")
        if typed == was and field(f"said-{n}") == pasted.name:
            proposed = typed
        name = proposed if typed == was else typed
    elif name != pasted.name and not where:
        says = f"there is a source called {pasted.name!r} in this set already, so this is {name!r}"
        remarks.append(Problem(where="name", says=says, allowed="another name"))
    if where and match and where == str(match.id):
        return Entry(
            rows,
            name,
            kind,
            match,
            match,
            None,
            remarks + _kept(pasted, match.source),
            (),
            proposed,
            pasted.name,
        )
    source, problems = None, []
    try:
        if where:
            says = f"the source that was to get the reading of {pasted.name!r} is not there any more"
            raise Refused.one("name", says, "a new source, as it now stands here")
        source = make(Source, {**dict(pasted), "name": name, "kind": kind})
        if used:
            refuse_taken([("name", source)], taken)
            taken.add(name_key(source.name))
    except Refused as no:
        source, problems = None, no.problems
    return Entry(rows, name, kind, match, None, source, remarks, problems, proposed, pasted.name)


def _kept(pasted: Source, present: Source) -> list[Problem]:
    """Say which words of the text a source does without that is in the set already."""
    remarks = []
    if pasted.note not in ("", present.note):
        says = f"the note {short(pasted.note)} is not added to {present.name!r}"
        remarks.append(Problem(where="note", says=says, allowed="the note that it has"))
    if pasted.kind not in (Kind.UNKNOWN, present.kind):
        says = f"kind {pasted.kind.value!r} is left out, {present.name!r} is {present.kind.value!r}"
        remarks.append(Problem(where="kind", says=says, allowed="the kind that it has"))
    dial = dials_set(present)
    if dial is not None and pasted.reading.dial is None:
        says = f"taken with {present.name!r} as it is set, dials at {dial_said(dial)}"
        remarks.append(Problem(where="dial", says=says, allowed="a column for its dial"))
    return remarks


def _chosen(entries: Sequence[Entry]) -> tuple[list[Source], dict[int, list[Reading]]]:
    """Return the new sources of the rows that are ticked, and by its id the readings for one that is there.

    Raises Refused where they cannot be saved yet.
    """
    used = [entry for entry in entries if entry.used]
    if any(not row.shown for entry in used for row in entry.used):
        says = "The text was changed since it was read, so nothing is saved yet"
        raise Refused.one("", says, "look at the rows as they are now, then save")
    if not used:
        raise Refused.one("", "No row is ticked", "one row or more")
    if any(entry.source is None and entry.into is None for entry in used):
        raise Refused.one("", "Nothing is saved yet", "mend the rows that say what is wrong, or untick them")
    further: dict[int, list[Reading]] = {}
    for entry in used:
        if entry.into is not None:
            read = [at_dials(reading, entry.into.source) for reading in entry.readings]
            further.setdefault(entry.into.id, []).extend(read)
    return [entry.source for entry in used if entry.source is not None], further


@dataclass(frozen=True)
class Asks:
    """What to ask where gel hangs on heads of the set that get readings: behind it, or bare.

    `heads` are those; `key` says what hangs, so that a choice holds for that alone, and `answer` is what was
    chosen, or `likely` where nothing was.
    """

    heads: Sequence[StoredSource]
    key: str
    likely: str

    @property
    def answer(self) -> str:
        """The choice as it stands: “hung” or “bare”."""
        chosen = request.form.get("behind", "") if request.form.get("hung") == self.key else ""
        return chosen if chosen in ("hung", "bare") else self.likely

    @property
    def answered(self) -> bool:
        """Whether it was asked about what hangs now."""
        return request.form.get("hung") == self.key and request.form.get("behind") in ("hung", "bare")


def _asks(owner: StoredSet, entries: Sequence[Entry]) -> Asks | None:
    """Return what to ask; None where no gel hangs on a head that gets readings."""
    read = [(e.into.id, [row.white for row in e.used if row.white]) for e in entries if e.into and e.used]
    present = {stored.id: (i, stored) for i, stored in enumerate(owner.sources)}
    found = [(*present[n], whites) for n, whites in read if n in present and hanging(present[n][1])]
    if not found:
        return None
    plan = plan_for(owner)
    behind = sum(1 if reads_like_behind(plan, i, whites) else -1 for i, _, whites in found)
    heads = list({stored.id: stored for _, stored, _ in found}.values())
    key = " | ".join(f"{stored.id}: {'; '.join(work.gels)}" for stored in heads if (work := hanging(stored)))
    return Asks(heads, key, "hung" if behind >= 0 else "bare")


def _behind(asks: Asks | None, further: dict[int, list[Reading]]) -> dict[int, tuple[Work, Work | None]]:
    """Mark the readings that were taken behind what hangs, and return what they make of the work there.

    Raises Refused where nobody was asked yet.
    """
    if asks is None:
        return {}
    if not asks.answered:
        names = listed([stored.source.name for stored in asks.heads])
        raise Refused([_say_behind(f"Gel hangs on {names}, so nothing is saved yet")])
    works: dict[int, tuple[Work, Work | None]] = {}
    for stored in asks.heads if asks.answer == "hung" else ():
        work = hanging(stored)
        assert work is not None, "only heads on which gel hangs are asked about"
        further[stored.id] = [behind(reading, work) for reading in further[stored.id]]
        works[stored.id] = works_found(stored, work, further[stored.id]), work
    return works


def _say_behind(says: str) -> Problem:
    return Problem(where="behind", says=says, allowed="say whether it was read behind the gel, or bare")


def _lines(text: str) -> list[str]:
    """Return the lines of a text that went through a form, which changes how they end."""
    return text.splitlines()


def _without(text: str, rows: Sequence[PastedRow]) -> str:
    """Return the text without the lines of some rows."""
    gone = {row.line + k for row in rows for k in range(len(row.text.splitlines()) or 1)}
    return "\n".join(line for number, line in enumerate(text.splitlines(), 1) if number not in gone)
