"""Heads have numbers of their own, as on their tags, that stay when others go."""

import json
import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.imports.set_file import read_whole
from advisor.model import LightSet, Refused, Target
from advisor.store import Database, SetStore
from tests.store.samples import CEILING, LAMP, WINDOW, export
from tests.strategies import STEADY
from tests.thorough import cases


def _told(sets: SetStore, number: int) -> list[tuple[int, str]]:
    return [(s.number, s.source.name) for s in sets.get_set(number).sources]


def test_a_number_stays_when_another_head_is_removed_and_comes_back_with_its_head(sets, office):
    window, lamp = (s.id for s in sets.get_set(office).sources)
    ceiling = sets.add_source(office, CEILING)
    sets.delete_source(window)
    assert _told(sets, office) == [(2, "Desk lamp"), (3, "Ceiling")]
    sets.delete_source(ceiling)
    kicker = sets.add_source(office, WINDOW.model_copy(update={"name": "Kicker"}))
    assert sets.get_source(kicker).number == 4
    assert [sets.restore_source(n).number for n in (ceiling, window)] == [3, 1]
    assert _told(sets, office) == [(1, "Window"), (2, "Desk lamp"), (3, "Ceiling"), (4, "Kicker")]
    assert sets.get_source(lamp).number == 2


def test_renaming_and_reading_leave_the_number(sets, office):
    lamp = sets.get_set(office).sources[1]
    sets.add_reading(lamp.id, LAMP.reading)
    sets.update_source(lamp.id, LAMP.model_copy(update={"name": "Bay"}))
    assert sets.get_source(lamp.id).number == 2


def test_the_next_day_has_the_same_numbers_and_gives_none_that_a_head_had_the_day_before(sets, office):
    window, _ = (s.id for s in sets.get_set(office).sources)
    gone = sets.add_source(office, CEILING)
    for head in (window, gone):
        sets.delete_source(head)
    tomorrow = sets.days.duplicate(office)
    assert _told(sets, tomorrow) == [(2, "Desk lamp")]
    sets.add_source(tomorrow, CEILING)
    assert _told(sets, tomorrow) == [(2, "Desk lamp"), (4, "Ceiling")]
    there = export(sets, tomorrow)
    assert there.last_number == 4


def test_a_file_keeps_the_numbers_and_what_was_given_last(sets, office):
    sets.delete_source(sets.add_source(office, CEILING))
    window = sets.get_set(office).sources[0].id
    sets.delete_source(window)
    there = read_whole(export(sets, office).to_json())
    assert [(s.number, s.removed_at is not None) for s in there.sources] == [
        (1, True), (2, False), (3, True)
    ]  # fmt: skip
    copied = sets.whole.restore(there, copy=True)
    assert _told(sets, copied) == [(2, "Desk lamp")]
    added = sets.add_source(copied, CEILING)
    assert sets.get_source(added).number == 4


def test_a_file_of_0_1_0_has_no_numbers_and_they_become_the_places(sets, office):
    window, _ = (s.id for s in sets.get_set(office).sources)
    sets.add_source(office, CEILING)
    sets.delete_source(window)
    found = json.loads(export(sets, office).to_json())
    found["advisor_set"] = 1
    del found["last_number"]
    for source in found["sources"]:
        del source["number"]
    there = read_whole(json.dumps(found))
    assert there.numbers == [3, 1, 2]
    copied = sets.whole.restore(there, copy=True)
    assert _told(sets, copied) == [(1, "Desk lamp"), (2, "Ceiling")]


@pytest.mark.parametrize(
    ("number", "says"),
    [
        (2, "2 sources have the number 2; a number of its own for each"),
        (0, "Number 0 is out of range; 1 to 99 999, whole numbers"),
        ("x", "Number 'x' is not a number; 1 to 99 999, whole numbers"),
    ],
)
def test_a_number_that_cannot_be_is_refused_in_words(sets, office, number, says):
    found = json.loads(export(sets, office).to_json())
    found["sources"][0]["number"] = number
    with pytest.raises(Refused) as no:
        read_whole(json.dumps(found))
    [problem] = no.value.problems
    assert re.sub(r"\s", " ", f"{problem.says}; {problem.allowed}") == says


@given(steps=st.lists(st.integers(0, 5), max_size=12))
@settings(STEADY, max_examples=cases(40))
def test_whatever_comes_and_goes_no_number_is_given_twice(steps, tmp_path_factory):
    with Database(tmp_path_factory.mktemp("numbers") / "advisor.db") as db:
        sets = SetStore(db)
        number = sets.create_set(LightSet(name="Day", target=Target(cct=5600)))
        given_to: dict[int, int] = {}
        heads: list[int] = []
        for step in steps:
            if step < 3 or not heads:
                heads.append(sets.add_source(number, WINDOW.model_copy(update={"name": f"H{len(heads)}"})))
                fresh = sets.get_source(heads[-1]).number
                assert fresh == max(given_to.values(), default=0) + 1
                given_to[heads[-1]] = fresh
            else:
                head = heads[step % len(heads)]
                (sets.restore_source if sets.get_source(head).deleted else sets.delete_source)(head)
        assert {h: sets.get_source(h).number for h in heads} == given_to
