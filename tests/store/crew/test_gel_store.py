import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.model import GelTable
from advisor.store import Conflict, Database, GelStore, NotFound, StoreFault
from tests.store.samples import HALF_CTO, ND, SHIPPED
from tests.strategies import STEADY, gel_tables


def test_the_shipped_table_is_in_force_until_one_is_saved(gels: GelStore):
    stored = gels.in_force()
    assert (stored.version, stored.table, stored.made_at) == (0, SHIPPED, None)


def test_a_saved_table_is_in_force(gels: GelStore, db: Database):
    saved = gels.replace(GelTable(rows=[ND]), "the CTO is used up", version=0)
    assert saved == gels.in_force() == GelStore(db, SHIPPED).in_force()
    assert (saved.version, saved.table.rows, saved.why) == (1, [ND], "the CTO is used up")


def test_a_table_edited_from_an_old_version_is_a_conflict(gels: GelStore):
    theirs = gels.replace(GelTable(rows=[ND]), "theirs", version=0)
    with pytest.raises(Conflict) as conflict:
        gels.replace(GelTable(rows=[]), "mine", version=0)
    assert conflict.value.current == theirs == gels.in_force()
    assert gels.replace(GelTable(rows=[]), "mine, all the same").version == 2


def test_undo_goes_back_by_going_on(gels: GelStore):
    gels.replace(GelTable(rows=[ND]), "one")
    gels.replace(GelTable(rows=[HALF_CTO]), "two")
    back = gels.back_to(gels.in_force().version - 1)
    assert (back.version, back.table.rows, back.why) == (3, [ND], "put back: one")
    assert gels.back_to(0).table == SHIPPED
    assert gels.in_force().version == 4
    assert gels.get(2).table.rows == [HALF_CTO]


def test_what_is_put_back_is_put_over_what_was_seen(gels: GelStore):
    gels.replace(GelTable(rows=[ND]), "mine")
    theirs = gels.replace(GelTable(rows=[HALF_CTO]), "theirs")
    with pytest.raises(Conflict) as conflict:
        gels.back_to(0, seen=1)
    assert conflict.value.current == theirs == gels.in_force()
    assert gels.back_to(0, seen=2).table == SHIPPED


def test_a_table_put_back_twice_says_so_once(gels: GelStore):
    gels.replace(GelTable(rows=[ND]), "one")
    gels.back_to(0)
    assert [gels.back_to(v).why for v in (1, 3, 2)] == ["put back: one"] * 2 + ["shipped table put back"]


def test_history_tells_every_version(gels: GelStore):
    gels.replace(GelTable(rows=[ND]), "one")
    gels.back_to(0)
    told = [(v.version, v.why, v.gels) for v in gels.history()]
    assert told == [(0, "as shipped", 2), (1, "one", 1), (2, "shipped table put back", 2)]
    times = [v.made_at for v in gels.history()[1:]]
    assert times == sorted(str(t) for t in times)


@pytest.mark.parametrize("version", [1, -1, 10**30])
def test_a_version_that_never_was_is_not_found(gels: GelStore, version: int):
    with pytest.raises(NotFound, match=f"there is no version of the gel table {version}"):
        gels.get(version)
    with pytest.raises(NotFound):
        gels.back_to(version)


def test_a_damaged_table_is_told(gels: GelStore, db: Database):
    gels.replace(GelTable(rows=[ND]), "one")
    with db.write() as conn:
        conn.execute(
            """UPDATE gel_tables SET rows = '[{"family": "CTO", "fraction": "1/2", "mired": 900}]'"""
        )
    told = r"gel table 1 cannot be read .*Mired shift 900 is out of range.*backup"
    with pytest.raises(StoreFault, match=told):
        gels.in_force()


@STEADY
@given(table=gel_tables(), why=st.text(st.characters(exclude_categories=["Cs"])))
def test_a_gel_table_survives_the_store(gels_for_all: GelStore, table: GelTable, why: str):
    version = gels_for_all.replace(table, why).version
    stored = gels_for_all.get(version)
    assert (stored.table, stored.why) == (table, why)


@pytest.fixture(scope="module")
def gels_for_all(tmp_path_factory: pytest.TempPathFactory):
    with Database(tmp_path_factory.mktemp("gels") / "advisor.db") as db:
        yield GelStore(db, SHIPPED)
