"""What a form about a paste says: the text, what was chosen before, what was tapped and typed since."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from ...imports.readings.answers import PLAIN
from ...model import Problem
from .choices import IS, PasteChoices, choices_in, is_column, tapped
from .entries import typed_in
from .figures import figures_of_each
from .long_texts import KEPT, given_text, gone
from .looks import Look, kept_look, look_anew, look_at, look_key

KEY, OPEN, FORGET = "paste", "open", "forget"
"""Fields: the key of what was read, the source whose fields to show, to forget what was said before."""


@dataclass(frozen=True)
class PostedPaste:
    """What is read now, what the page showed `before` (None where it showed nothing), and what was chosen.

    `problems` say why what was tapped last cannot be.
    """

    now: Look
    before: Look | None
    chosen: PasteChoices
    problems: Sequence[Problem] = ()

    def with_saved(self) -> "PostedPaste":
        """Return the same once all rows that were understood are saved, or were left out on purpose."""
        marks = [row.mark for row in self.now.rows if row.white is not None]
        saved = tuple(dict.fromkeys([*self.chosen.saved, *marks]))
        return replace(self, before=self.now, chosen=replace(self.chosen, saved=saved))


def posted_paste(form: Mapping[str, str], file: str | None, file_name: str = "") -> PostedPaste:
    """Read what a form says; the text is that of a `file`, where there is one.

    Spectra of a file that names none of them are called as the file is, by its `file_name`.
    Raises Refused where the form brings no text and what was read is gone.
    """
    chosen, key = choices_in(form), form.get(KEY, "")
    before = kept_look(key)
    text = _text(form, file, before)
    if before is None and key and look_key(text, chosen.answers) == key:
        before = look_at(text, chosen.answers)  # the server was started again since
    chosen = typed_in(chosen, before, form)
    if before is None or before.text != text:
        return _named_as_file(_other_text(text, before, chosen), file_name)
    if opened := form.get(OPEN, ""):
        chosen = replace(chosen, opened=(*chosen.opened, opened[:40]))
    chosen = chosen.with_answers(_typed_answers(form, before), tapped(form))
    if FORGET in form:
        chosen = replace(chosen, answers={})
    if chosen.answers == before.answers:
        return PostedPaste(before, before, chosen)
    now = look_at(text, chosen.answers, before.layout)
    if now.refused and before.rows:
        return PostedPaste(before, before, replace(chosen, answers=before.answers), now.refused)
    return PostedPaste(now, before, chosen)


def _text(form: Mapping[str, str], file: str | None, before: Look | None) -> str:
    if file is not None:
        return _even(file)
    if "text" in form:
        return _even(form["text"])
    if before is not None:
        return before.text
    if KEPT in form:
        return _even(given_text(form))
    raise gone()


def _even(text: str) -> str:
    """Return a text as it is after a form, which changes how lines end and drops empty ones at the top."""
    return text.replace("\r\n", "\n").replace("\r", "\n").lstrip("\n")


def _other_text(text: str, before: Look | None, chosen: PasteChoices) -> PostedPaste:
    """Read another text than the page showed; what was chosen stays on rows that stayed."""
    now = look_anew(text, before)
    known = before.by_key if before else {}
    stayed = [
        row.pasted
        for row in now.rows
        if (old := known.get(row.key)) is not None and old.pasted.text == row.pasted.text
    ]
    return PostedPaste(now, before, replace(chosen.on(stayed), answers=now.answers))


def _named_as_file(posted: PostedPaste, file_name: str) -> PostedPaste:
    """Call spectra that have no name as their file is called, with numbers where it holds several."""
    nameless = [row.key for row in posted.now.rows if row.spectrum_unnamed]
    if not (nameless and file_name):
        return posted
    several = len(nameless) > 1
    names = {key: f"{file_name} {k}" if several else file_name for k, key in enumerate(nameless, 1)}
    chosen = replace(posted.chosen, names={**posted.chosen.names, **names})
    return replace(posted, chosen=chosen)


def _typed_answers(form: Mapping[str, str], before: Look) -> dict[str, str]:
    """Return what fields say that showed something else: of columns, cells and lines."""
    typed = {name.removeprefix(IS): value for name, value in form.items() if name.startswith(IS)}
    if not typed:
        return {}
    showed = {c.key: c.field if c.meaning else "-" for c in (*before.paste.columns, *before.paste.unused)}
    for row in before.rows:
        if row.white is None:
            showed |= {cell.key: cell.text for cell in row.pasted.cells}
            showed[f"line-{row.pasted.line}"] = row.pasted.text
    understood = [row for row in before.rows if row.white is not None]
    figures = {key: text for row in figures_of_each(understood) for _, key, text in row}
    showed |= figures
    return {
        key: f"{PLAIN}{value}" if key in figures and value.strip() else value
        for key, value in typed.items()
        if value.strip() != showed.get(key, before.answers.get(key, "")) and (value or not is_column(key))
    }
