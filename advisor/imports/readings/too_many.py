"""More readings than are read at once: refused, or the first of them are read where that was said."""

from collections.abc import Sequence

from ...model import Problem, Refused
from .result import Answers, PasteQuestion, Reply

MOST_ROWS = 500
"""The most readings in one text."""
FIRST = "first"
"""Key of “500” where only the first readings are to be read."""
_ALLOWED = f"at most {MOST_ROWS} readings. Give it in parts, or read the first {MOST_ROWS}"
BEYOND = f"not read, nor what follows: over the first {MOST_ROWS}"
"""Why the reading behind the first ones is left out."""


def only_first(answers: Answers) -> bool:
    """Whether it was said that only the first readings are to be read."""
    return answers.get(FIRST) == str(MOST_ROWS)


def too_many(what: str) -> Refused:
    """Return what refuses a text that has `what`: so many readings."""
    return Refused.one("text", f"the text has {what}", _ALLOWED)


def about_first(problems: Sequence[Problem], answers: Answers) -> list[PasteQuestion]:
    """Return the offer to read the first readings alone, where `problems` refuse a text for its length.

    Where that was said, it may be taken back.
    """
    said = only_first(answers)
    if not said and all(problem.allowed != _ALLOWED for problem in problems):
        return []
    first = Reply(value=str(MOST_ROWS), words=f"Read the first {MOST_ROWS}")
    reply = Reply(value="", words="Read none") if said else first
    return [
        PasteQuestion(
            key=FIRST,
            says=f"Only the first {MOST_ROWS} readings are read" if said else "There are too many readings",
            choices=[reply],
            answer=answers.get(FIRST, "") if said else "",
            blocks=False,
        )
    ]
