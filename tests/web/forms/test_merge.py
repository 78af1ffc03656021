"""What two people typed into one form, put together: a property of every value and every tick."""

from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.web.forms.form import Form
from advisor.web.forms.merge import ASKED, PICK, as_showed, merge, same, showed_in

TEXT = st.text("ab0 ", max_size=2)
TICKS = st.lists(st.sampled_from("xyz"), unique=True)
FIELDS = st.fixed_dictionaries({"name": TEXT, "note": TEXT, "kind": TEXT, "keep": TICKS})
NUMBERS = st.sampled_from(["", "5600", "5 600", "5600.0", "5,600", "3200", "−0.001", "-0.001", "640 lx"])


@given(FIELDS, FIELDS)
def test_who_typed_nothing_changes_nothing(showed, now):
    merged = merge(Form(showed), showed, now)
    assert merged.contests == ()
    assert {**merged.form.values} == now


@given(FIELDS, FIELDS)
def test_who_is_alone_gets_what_they_typed(showed, typed):
    merged = merge(Form(typed), showed, showed)
    assert merged.contests == ()
    for name, value in typed.items():
        assert same(name, merged.form.values[name], value)


@given(FIELDS, FIELDS, FIELDS)
def test_every_field_is_of_whoever_changed_it(showed, typed, now):
    merged = merge(Form(typed), showed, now)
    asked = {contest.unit for contest in merged.contests}
    for name in ("name", "note", "kind"):
        mine, theirs = not same(name, typed[name], showed[name]), not same(name, now[name], showed[name])
        assert (name in asked) == (mine and theirs and not same(name, typed[name], now[name]))
        if name not in asked:
            assert same(name, merged.form.values[name], typed[name] if mine else now[name])
    for tick, (was, mine, theirs) in (
        (tick, [tick in fields["keep"] for fields in (showed, typed, now)]) for tick in "xyz"
    ):
        assert (tick in merged.form.chosen("keep")) == (mine if mine != was else theirs)


@given(FIELDS, FIELDS, FIELDS, st.sampled_from(["mine", "theirs"]))
def test_what_was_asked_is_asked_once(showed, typed, now, pick):
    asked = merge(Form(typed), showed, now)
    picks = {PICK + contest.unit: pick for contest in asked.contests}
    form = {**asked.form.values, **picks, ASKED: [contest.unit for contest in asked.contests]}
    again = merge(Form(form), now, now, moved=False)
    assert again.contests == ()
    for contest in asked.contests:
        kept = typed if pick == "mine" else now
        assert same(contest.unit, again.form.values[contest.unit], kept[contest.unit])


@given(FIELDS, FIELDS, FIELDS)
def test_a_unit_is_never_of_two(showed, typed, now):
    merged = merge(Form(typed), showed, now, {"both": ("name", "note")})
    if merged.contests and merged.contests[0].unit == "both":
        return
    halves = [merged.form.values[name] for name in ("name", "note")]
    assert any(
        all(same(n, half, whole[n]) for n, half in zip(("name", "note"), halves, strict=True))
        for whole in (typed, now)
    )


@given(NUMBERS, NUMBERS)
def test_being_the_same_goes_both_ways(one, other):
    assert same("cct", one, one)
    if "," not in one + other:  # two meanings: the likelier one of what is shown counts
        assert same("cct", one, other) == same("cct", other, one)


@pytest.mark.parametrize(
    ("field", "shown", "typed", "alike"),
    [
        ("cct", "5600", "5 600", True),
        ("cct", "5600", "5,600", True),
        ("cct", "5599.6", "5600", False),
        ("duv", "-0.001", "−0,001", True),
        ("lux", "640", "640 fc", False),
        ("cct", "", "0", False),
        ("name", "07", "7", False),
        ("note_3", "07", "7", False),
        ("name", "Rim", " Rim ", True),
    ],
)
def test_values_are_compared_as_they_are_shown(field, shown, typed, alike):
    assert same(field, typed, shown) is alike


@given(FIELDS)
def test_what_a_form_shows_comes_back(fields):
    assert showed_in(Form({"showed": as_showed(fields)})) == fields


def test_ticks_alone_are_never_asked_about():
    """Two people can only have set or taken out a tick alike: each way of it is one of these."""
    for was, mine, theirs in product([[], ["x"], ["y"], ["x", "y"]], repeat=3):
        unit = {"cut": ("only", "keep")}
        fields = ({"only": "yes", "keep": keep} for keep in (mine, was, theirs))
        assert merge(Form(next(fields)), next(fields), next(fields), unit).contests == ()


def test_where_nothing_moved_another_unit_of_the_phone_is_nobodys_change():
    """The form was opened in foot-candles, and the phone works in lux now."""
    merged = merge(Form({"lux": "700"}), {"lux": "60"}, {"lux": "645.8"}, moved=False)
    assert merged.contests == () and merged.form.value("lux") == "700"
    assert merge(Form({"lux": "60"}), {"lux": "60"}, {"lux": "645.8"}).form.value("lux") == "645.8"


def test_a_tick_of_one_and_what_it_hangs_on_of_the_other_are_asked_about():
    unit, showed = {"cut": ("only", "keep")}, {"only": "yes", "keep": ["x"]}
    merged = merge(Form({"only": "yes", "keep": ["x", "y"]}), showed, {"only": "", "keep": []}, unit)
    assert [(c.unit, c.mine) for c in merged.contests] == [("cut", "Only yes, Fixed gel x, y")]


def test_two_lists_of_one_unit_are_merged_each_by_itself():
    unit, showed = {"both": ("keep", "cut")}, {"keep": ["x"], "cut": ["x"]}
    merged = merge(Form({"keep": ["x", "y"], "cut": ["x"]}), showed, {"keep": ["x"], "cut": ["z"]}, unit)
    assert merged.contests == ()
    assert (merged.form.chosen("keep"), merged.form.chosen("cut")) == (["x", "y"], ["z"])
