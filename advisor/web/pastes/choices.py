"""What people chose about a paste so far: it goes along in the form, so that a page can be gone back to."""

import json
from collections.abc import Collection, Iterable, Mapping
from dataclasses import asdict, dataclass, field, replace
from typing import Any

from ...imports import PastedRow
from ...imports.readings.answers import HEADINGS, TURNED
from ...model import Refused

CHOSEN = "chosen"
"""The field of the form that holds what was chosen before."""
SET, IS = "set", "is-"
"""A button that gives one answer, as “key=value”; before a key, the field that gives one."""
_LONGEST = 200_000
_LONGEST_ANSWER = 5000
_MOST = 2000


@dataclass(frozen=True)
class PasteChoices:
    """What was chosen about a paste.

    `answers` go to the importer by its keys. `names` and `kinds` were typed, by the key of a source's first
    row. `opened` are the sources whose fields are shown, `saved` what tells the rows that are saved already.
    """

    answers: Mapping[str, str] = field(default_factory=dict)
    names: Mapping[str, str] = field(default_factory=dict)
    kinds: Mapping[str, str] = field(default_factory=dict)
    opened: tuple[str, ...] = ()
    saved: tuple[str, ...] = ()

    def as_json(self) -> str:
        """Write them for the form, without what is empty."""
        parts = {name: part for name, part in asdict(self).items() if part}
        return json.dumps(parts, ensure_ascii=False, separators=(",", ":"))

    def with_answers(self, *several: Mapping[str, str]) -> "PasteChoices":
        """Return these with some answers more, one after the other; an empty one takes back what was said.

        A column that is said to be something takes that from another one that was said to be it.
        """
        answers = dict(self.answers)
        for key, value in (item for given in several for item in given.items()):
            if is_column(key) and value:
                answers = {k: v for k, v in answers.items() if not (is_column(k) and _alike(v, value))}
            answers[key] = value[:_LONGEST_ANSWER]
        return replace(self, answers={k: v for k, v in answers.items() if v})

    def on(self, rows: Iterable[PastedRow]) -> "PasteChoices":
        """Return what holds of the sources that begin with these rows, of what was chosen about any."""
        keys = {row.key for row in rows}
        return replace(
            self,
            answers={},
            names={k: v for k, v in self.names.items() if k in keys},
            kinds={k: v for k, v in self.kinds.items() if k in keys},
            opened=tuple(k for k in self.opened if k in keys),
        )


def choices_in(form: Mapping[str, str]) -> PasteChoices:
    """Return what was chosen before, as the form brings it along; raises Refused where that is nonsense."""
    text = form.get(CHOSEN, "")
    if not text:
        return PasteChoices()
    try:
        found = json.loads(text) if len(text) <= _LONGEST else None
        return _checked(found)
    except (ValueError, TypeError, RecursionError):
        says = "the page does not say what was chosen on it"
        raise Refused.one("", says, "open the page again, and paste the text again") from None


def _checked(found: Any) -> PasteChoices:
    chosen = PasteChoices(**found)
    for part in (chosen.answers, chosen.names, chosen.kinds):
        if not isinstance(part, dict) or len(part) > _MOST or not _texts([*part, *part.values()]):
            raise TypeError
    for keys in (chosen.opened, chosen.saved):
        if not isinstance(keys, (list, tuple)) or len(keys) > _MOST or not _texts(keys):
            raise TypeError
    return replace(chosen, opened=tuple(chosen.opened), saved=tuple(chosen.saved))


def _texts(values: Collection[object]) -> bool:
    return all(isinstance(value, str) for value in values)


def tapped(form: Mapping[str, str]) -> dict[str, str]:
    """Return the answer of the button that was tapped, by its key; empty where none was."""
    key, found, value = form.get(SET, "").partition("=")
    return {key: value} if found and key else {}


def is_column(key: str) -> bool:
    """Whether an answer goes by this key that says what a column holds."""
    return key.startswith("column-")


def lasting(answers: Mapping[str, str], keys: Collection[str] = ()) -> dict[str, str]:
    """Return the answers that hold for every text with the same headings; those by `keys` do too."""
    return {k: v for k, v in answers.items() if is_column(k) or k in (TURNED, HEADINGS) or k in keys}


def _alike(one: str, other: str) -> bool:
    """Whether two columns would hold the same: “cct” and “cct-k” do."""
    return one != "-" and one.partition("-")[0] == other.partition("-")[0]
