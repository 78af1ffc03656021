"""A gel that was removed, brought back into the table as it is now; never over what came since."""

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from advisor.model import Gel, GelTable
from advisor.store import Conflict, Database, GelStore, NotFound
from tests.store.samples import HALF_CTO, ND, SHIPPED
from tests.strategies import STEADY, gel_tables
from tests.thorough import cases

FULL_CTO = Gel(family="CTO", fraction="full", mired=134, stock=3, note="roll 7")
FULL_CTB = Gel(family="CTB", fraction="full", mired=-134)


@pytest.fixture
def gone(gels: GelStore) -> int:
    """Bo removed a gel from between two; return the version."""
    gels.replace(GelTable(rows=[HALF_CTO, FULL_CTO, ND]), "full CTO added")
    return gels.by("Bo").replace(GelTable(rows=[HALF_CTO, ND]), "full CTO removed").version


def test_it_comes_back_in_its_place_with_all_that_it_said(gels, gone):
    [told] = gels.removed(10)
    assert (told.version, told.name, told.who) == (gone, "CTO full", "Bo")
    back = gels.by("Mia").bring_back(gone, "CTO full", "full CTO brought back")
    assert back.table.rows == [HALF_CTO, FULL_CTO, ND]
    assert (back.who, back.why) == ("Mia", "full CTO brought back")
    assert gels.in_force() == back and gels.removed(10) == []


def test_what_was_changed_since_stays(gels, gone):
    dear = ND.model_copy(update={"stock": 1})
    gels.replace(GelTable(rows=[FULL_CTB, dear]), "half CTO removed, full CTB added")
    back = gels.bring_back(gone, "CTO full", "back")
    assert back.table.rows == [FULL_CTO, FULL_CTB, dear]


def test_a_row_of_its_name_that_somebody_put_in_since_is_not_overwritten(gels, gone):
    other = FULL_CTO.model_copy(update={"mired": 130.0, "family": "cto"})
    theirs = gels.by("Ana").replace(GelTable(rows=[HALF_CTO, ND, other]), "full cto added")
    after = gels.replace(GelTable(rows=[ND, other]), "half CTO removed")
    with pytest.raises(Conflict) as conflict:
        gels.bring_back(gone, "CTO full", "back")
    assert (conflict.value.current, conflict.value.current.who) == (theirs, "Ana")
    assert gels.in_force() == after


def test_twice_is_once(gels, gone):
    first = gels.bring_back(gone, "CTO full", "back")
    assert gels.bring_back(gone, "CTO full", "back") == first
    assert gels.in_force().version == first.version


@pytest.mark.parametrize("name", ["CTO 1/2", "CTO 1/8", ""])
def test_what_that_version_did_not_leave_out_is_not_found(gels, gone, name):
    with pytest.raises(NotFound):
        gels.bring_back(gone, name, "back")
    with pytest.raises(NotFound):
        gels.bring_back(99, "CTO full", "back")


def test_of_the_shipped_table_too(gels):
    version = gels.replace(GelTable(rows=[ND]), "the CTO is used up").version
    assert gels.bring_back(version, "CTO 1/2", "back").table == SHIPPED


def test_a_table_that_leaves_out_many_is_put_back_whole(gels):
    many = [Gel(family=f"Tint {letter}", fraction="full", mired=10) for letter in "abcdef"]
    gels.replace(GelTable(rows=[ND, *many]), "imported")
    gels.replace(GelTable(rows=[ND]), "imported")
    assert [g.name for g in gels.removed(10)] == ["CTO 1/2"]


def test_one_that_went_twice_is_told_of_once(gels, gone):
    gels.bring_back(gone, "CTO full", "back")
    again = gels.by("Ana").replace(GelTable(rows=[HALF_CTO, ND]), "full CTO removed")
    [told] = gels.removed(10)
    assert (told.version, told.who) == (again.version, "Ana")


@pytest.fixture(scope="module")
def shared(tmp_path_factory: pytest.TempPathFactory):
    with Database(tmp_path_factory.mktemp("back") / "advisor.db") as db:
        yield GelStore(db, SHIPPED)


@given(table=gel_tables(6), data=st.data())
@settings(STEADY, max_examples=cases(40), suppress_health_check=[*HealthCheck])
def test_whatever_is_removed_one_by_one_and_brought_back_leaves_the_table_as_it_was(table, data, shared):
    shared.replace(table, "as it is")
    out = data.draw(st.permutations(table.rows))[: data.draw(st.integers(0, min(5, len(table.rows))))]
    gone = []
    for gel in out:
        rows = [g for g in shared.in_force().table.rows if g != gel]
        gone.append((shared.replace(GelTable(rows=rows), "removed").version, gel.name))
    for version, name in reversed(gone):
        shared.bring_back(version, name, "back")
    assert shared.in_force().table == table
