"""What a crew chooses once for all its sets."""

from pathlib import Path

import pytest

from advisor.store import Conflict, Database
from advisor.store.crew.choices import ChoiceStore


@pytest.fixture
def choices(db: Database) -> ChoiceStore:
    return ChoiceStore(db)


def test_nothing_is_chosen_at_first(choices: ChoiceStore):
    assert choices.load("formats") is None


def test_what_was_chosen_last_is_kept(choices: ChoiceStore):
    choices.save("formats", "one")
    choices.save("formats", "two")
    assert choices.load("formats") == "two"


def test_a_choice_is_put_only_over_what_was_seen(choices: ChoiceStore):
    choices.save("formats", "one", was=None)
    for stale in (None, "other"):
        with pytest.raises(Conflict) as conflict:
            choices.save("formats", "mine", was=stale)
        assert conflict.value.current == choices.load("formats") == "one"
    choices.save("formats", "two", was="one")
    assert choices.load("formats") == "two"


def test_who_chose_is_known_and_when(choices: ChoiceStore):
    assert choices.chosen("formats") == ("", "")
    choices.by("Mia").save("formats", "one")
    who, at = choices.chosen("formats")
    assert who == "Mia" and at.endswith("Z")


def test_every_key_has_a_text_of_its_own(choices: ChoiceStore):
    choices.save("formats", "sheets")
    choices.save("Formats", "")
    assert (choices.load("formats"), choices.load("Formats"), choices.load("other")) == ("sheets", "", None)


def test_it_is_there_the_next_day(path: Path):
    with Database(path) as db:
        ChoiceStore(db).save("formats", "Rollen à 7,62 m")
    with Database(path) as db:
        assert ChoiceStore(db).load("formats") == "Rollen à 7,62 m"


def test_it_says_when(choices: ChoiceStore, db: Database):
    choices.save("formats", "one")
    with db.read() as conn:
        [(at,)] = [tuple(row) for row in conn.execute("SELECT changed_at FROM choices")]
    assert at.endswith("Z") and at > "2020"
