"""Who is at which head of a work order: one at a time, until they go on, or half an hour has passed."""

from datetime import UTC, datetime, timedelta

import pytest

from advisor.model.basis.base import utc_text
from advisor.store import NotFound
from advisor.store.crew.heads_taken import TakenHeads


@pytest.fixture
def taken(db):
    return TakenHeads(db)


def at(taken, office):
    return {head: one.who for head, one in taken.of_set(office).items()}


def test_a_head_is_given_to_one_person_and_the_next_one_hears_to_whom(taken, office):
    assert taken.take(1, "phone 1", "Bo").who == "Bo"
    assert taken.take(1, "phone 2", "Mia").who == "Bo"
    assert at(taken, office) == {1: "Bo"}


def test_who_goes_to_the_next_head_leaves_the_one_before(taken, office):
    taken.take(1, "phone 1", "Bo")
    taken.take(2, "phone 1", "Bo")
    assert at(taken, office) == {2: "Bo"}


def test_it_is_freed_by_hand(taken, office):
    taken.take(1, "phone 1", "Bo")
    taken.free(1)
    assert taken.take(1, "phone 2", "Mia").who == "Mia"


@pytest.mark.parametrize(("minutes", "who"), [(29, "Bo"), (31, "Mia")])
def test_after_half_an_hour_it_is_free_again(taken, db, office, minutes, who):
    taken.take(1, "phone 1", "Bo")
    with db.write() as conn:
        then = utc_text(datetime.now(UTC) - timedelta(minutes=minutes))
        conn.execute("UPDATE heads_taken SET at = ?", (then,))
    assert bool(at(taken, office)) is (who == "Bo")
    assert taken.take(1, "phone 2", "Mia").who == who


def test_a_removed_head_is_nobodys_and_cannot_be_taken(taken, sets, office):
    taken.take(1, "phone 1", "Bo")
    sets.delete_source(1)
    assert at(taken, office) == {}
    with pytest.raises(NotFound):
        taken.take(1, "phone 1", "Bo")
