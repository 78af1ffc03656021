import pytest

from advisor.model import LightSet, Refused, Target
from advisor.store import NotFound, SetStore
from tests.store.samples import LAMP, OFFICE, WINDOW

TO_WINDOW = OFFICE.model_copy(update={"target": Target(source="window", duv_offset=0.002)})


@pytest.fixture
def matched(sets: SetStore) -> int:
    return sets.create_set(TO_WINDOW)


def test_a_target_names_its_source_as_the_set_does(sets: SetStore, matched: int):
    stored = sets.get_set(matched)
    assert stored.target == Target(source="Window", duv_offset=0.002)
    assert stored.target_source_id == stored.sources[0].id


def test_a_target_follows_its_source_to_a_new_name(sets: SetStore, matched: int):
    window = sets.get_set(matched).sources[0].id
    sets.update_source(window, WINDOW.model_copy(update={"name": "Big window"}))
    assert sets.get_set(matched).target.source == "Big window"


def test_the_target_before_is_known_whatever_else_was_changed_since(sets: SetStore, matched: int):
    assert sets.previous_target(matched) is None
    sets.update_set(matched, note="no other target")
    assert sets.previous_target(matched) is None
    sets.update_set(matched, target=Target(cct=4800))
    sets.update_set(matched, note="at dusk")
    window = sets.get_set(matched).sources[0].id
    sets.update_source(window, WINDOW.model_copy(update={"name": "Big window"}))
    assert sets.previous_target(matched) == Target(source="Big window", duv_offset=0.002)
    sets.delete_source(window)
    assert sets.previous_target(matched) is None
    sets.update_set(matched, target=Target(cct=3200, locus="planckian"))
    assert sets.previous_target(matched) == Target(cct=4800)
    sets.delete_set(matched)
    with pytest.raises(NotFound):
        sets.previous_target(matched)


def test_a_target_must_name_a_source_of_the_set(sets: SetStore, matched: int):
    with pytest.raises(Refused) as refused:
        sets.update_set(matched, target=Target(source="Door"))
    [problem] = refused.value.problems
    assert problem.where == "target.source"
    assert problem.says == "no source is called 'Door' in this set"
    assert problem.allowed == "Window, Desk lamp"
    with pytest.raises(Refused, match="a cct with its locus: the set has no sources yet"):
        sets.create_set(LightSet(name="Empty", target=Target(source="Door")))
    assert [s.id for s in sets.list_sets()] == [matched]


def test_a_deleted_source_leaves_the_target_its_name_and_undo_mends_it(sets: SetStore, matched: int):
    before = sets.get_set(matched)
    window = before.sources[0].id
    sets.delete_source(window)
    orphaned = sets.get_set(matched)
    assert orphaned.target_deleted
    assert (orphaned.target, orphaned.target_source_id) == (before.target, window)
    sets.restore_source(window)
    mended = sets.get_set(matched)
    assert not mended.target_deleted
    assert mended.light_set == before.light_set


def test_a_form_can_be_saved_while_the_target_s_source_is_deleted(sets: SetStore, matched: int):
    window = sets.get_set(matched).sources[0].id
    sets.delete_source(window)
    saved = sets.update_set(matched, note="later", target=Target(source="Window", duv_offset=0.002))
    assert (saved.note, saved.target_source_id, saved.target_deleted) == ("later", window, True)


def test_a_new_source_of_the_name_is_matched_once_it_is_chosen(sets: SetStore, matched: int):
    window = sets.get_set(matched).sources[0].id
    sets.delete_source(window)
    new = sets.add_source(matched, WINDOW)
    assert sets.get_set(matched).target_source_id == window
    sets.update_set(matched, note="the target is not given")
    assert sets.get_set(matched).target_deleted
    chosen = sets.update_set(matched, target=Target(source="WINDOW", duv_offset=0.002))
    assert (chosen.target_source_id, chosen.target_deleted) == (new, False)


def test_a_target_can_leave_its_source(sets: SetStore, matched: int):
    free = sets.update_set(matched, target=Target(cct=5600))
    assert (free.target, free.target_source_id) == (Target(cct=5600), None)
    lamp = sets.update_set(matched, target=Target(source=LAMP.name))
    assert lamp.target_source_id == lamp.sources[1].id
