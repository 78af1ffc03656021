"""Every stack that makes sense, once each: against plain enumeration."""

import itertools

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.advice.stacks.enumerate import NONE, allowed_by, choice_on, stacks_on
from advisor.advice.stacks.gel_arrays import gel_arrays_of, nominal_stops
from advisor.model import Gel, Limits, Refused
from tests.advice.exhaustive import clash
from tests.advice.rows import neutral, nominal
from tests.thorough import cases

SHIPPED = nominal() + neutral()


def as_names(gel_arrays, stacks):
    return [tuple(gel_arrays.names[i] for i in row if i != NONE) for row in stacks]


def plainly(gels, keep, max_layers):
    """All stacks as sorted names, by trying every one."""
    by_name = {g.name: g for g in gels}
    choice = [g.name for g in gels if g.on and (g.mired or g.cc)]
    found = [tuple(sorted(keep))]
    for size in range(1, max(max_layers - len(keep), 0) + 1):
        for added in itertools.combinations_with_replacement(sorted(choice), size):
            stack = [by_name[name] for name in (*keep, *added)]
            opposed = any(clash(a, b) for a in map(by_name.get, added) for b in stack)
            short = any(
                by_name[n].stock is not None and (*keep, *added).count(n) > by_name[n].stock for n in added
            )
            if not opposed and not short:
                found.append(tuple(sorted((*keep, *added))))
    return found


def ours(gels, keep, max_layers):
    gel_arrays = gel_arrays_of(tuple(gels))
    return as_names(
        gel_arrays,
        stacks_on(
            gel_arrays,
            choice_on(gel_arrays, gel_arrays.find(keep), max_layers, gel_arrays.ranked, dimmed=False),
        ),
    )


def same(gels, keep, max_layers):
    found, expected = ours(gels, keep, max_layers), plainly(gels, keep, max_layers)
    assert len(found) == len(expected) == len(set(expected))
    assert {tuple(sorted(names)) for names in found} == set(expected)
    assert tuple(sorted(found[0])) == tuple(sorted(keep))


@pytest.mark.parametrize("max_layers", [0, 1, 2, 3, 4])
def test_the_shipped_table(max_layers):
    same(SHIPPED, [], max_layers)


@pytest.mark.parametrize(
    "keep",
    [["ND 0.3"], ["Diffusion 1/2", "ND 0.3"], ["CTO 1/4"], ["CTO 1/4", "CTO 1/4"], ["CTO 1/8", "CTB 1/8"]],
)
@pytest.mark.parametrize("max_layers", [0, 1, 3])
def test_what_is_kept_is_in_every_stack(keep, max_layers):
    same(SHIPPED, keep, max_layers)
    for names in ours(SHIPPED, keep, max_layers):
        assert all(names.count(name) >= keep.count(name) for name in keep)


@st.composite
def tables(draw):
    rows = draw(st.permutations(nominal()))[: draw(st.integers(1, 7))]
    extra = [Gel(family="Both", fraction=f, mired=m, cc=c) for f, m, c in (("1/2", 40, 10), ("1/4", -20, 5))]
    rows = rows + draw(st.lists(st.sampled_from(extra + neutral()), unique_by=lambda g: g.name))
    stock, on = st.none() | st.integers(0, 3), st.sampled_from([True, True, False])
    return [g.model_copy(update={"stock": draw(stock), "on": draw(on)}) for g in rows]


@given(tables(), st.data(), st.integers(0, 3))
@settings(deadline=None, max_examples=cases(60))
def test_any_table(gels, data, max_layers):
    same(gels, data.draw(st.lists(st.sampled_from([g.name for g in gels]), max_size=2)), max_layers)


def test_no_opposites_and_no_more_than_there_is_in_stock():
    gels = [
        Gel(family="CTO", fraction="full", mired=134.0, stock=2),
        Gel(family="CTB", fraction="full", mired=-134.0, stock=0),
        Gel(family="Minus green", fraction="1/8", cc=-3.5, stock=1),
    ]
    cto, green = "CTO full", "Minus green 1/8"
    assert set(ours(gels, [], 3)) == {(), (cto,), (cto, cto), (green,), (cto, green), (cto, cto, green)}


TAUGHT = [
    Gel(family="CTO", fraction="1/8", mired=27.0, cc=0.5),
    Gel(family="CTB", fraction="full", mired=-134.0, cc=6.0),
    Gel(family="Minus green", fraction="1/8", cc=-3.5, mired=-0.4),
]


def test_a_side_effect_of_one_gel_may_be_taken_back_by_another():
    """A CTO that was taught with half a CC of green still hangs with minus green."""
    cto, ctb, green = (g.name for g in TAUGHT)
    assert set(ours(TAUGHT, [], 2)) >= {(cto, green), (ctb, green)}
    assert {tuple(sorted(stack)) for stack in ours(TAUGHT, [], 2)}.isdisjoint({tuple(sorted((cto, ctb)))})
    assert ours(TAUGHT, [ctb], 2)[1:] == [(ctb, ctb), (ctb, green)]


def test_a_coloured_gel_opposes_by_what_it_does_most():
    straw, pink = (
        Gel(family="Straw", fraction="full", mired=50.0, cc=9.0),
        Gel(family="Pink", fraction="full", mired=20.0, cc=-9.0),
    )
    ctb, plus = (
        Gel(family="CTB", fraction="1/4", mired=-35.0),
        Gel(family="Plus green", fraction="1/4", cc=7.5),
    )
    stacks = {frozenset(stack) for stack in ours([straw, pink, ctb, plus], [], 2)}
    two = {stack for stack in stacks if len(stack) == 2}
    names = {g.name for g in (straw, pink, ctb, plus)}
    every = {frozenset((a, b)) for a in names for b in names if a < b}
    assert every - two == {frozenset((straw.name, ctb.name)), frozenset((pink.name, plus.name))}


def test_what_is_switched_off_or_neutral_takes_no_part_unless_kept():
    gels = [
        Gel(family="CTO", fraction="full", mired=134.0, on=False),
        Gel(family="ND", fraction="0.3", stops=1.0),
        Gel(family="CTO", fraction="1/2", mired=67.0),
    ]
    assert ours(gels, [], 1) == [(), ("CTO 1/2",)]
    assert ours(gels, ["nd 0.3"], 2) == [("ND 0.3",), ("ND 0.3", "CTO 1/2")]
    assert ours(gels, ["CTO full"], 1) == [("CTO full",)]


def test_no_gels_leave_it_bare():
    assert ours([], [], 3) == [()]


def test_opposites_among_what_is_kept_leave_the_other_axis_open():
    gels = [
        Gel(family="CTO", fraction="1/8", mired=17.0),
        Gel(family="CTB", fraction="1/8", mired=-17.0),
        Gel(family="Minus green", fraction="1/8", cc=-3.5),
    ]
    kept = ("CTB 1/8", "CTO 1/8")
    assert ours(gels, kept, 3) == [kept, (*kept, "Minus green 1/8")]


# What the limits leave ---------------------------------------------------------------------------------


def left(gels=SHIPPED, **limits):
    gel_arrays = gel_arrays_of(tuple(gels))
    return {
        name
        for name, stays in zip(gel_arrays.names, allowed_by(gel_arrays, Limits(**limits)), strict=True)
        if stays
    }


def test_families_are_left_out_whatever_their_letter_case():
    assert left(exclude_families=["minus  Green", "CTO"]) == {
        g.name for g in SHIPPED if g.family not in ("Minus green", "CTO")
    }
    assert left() == {g.name for g in SHIPPED}


def test_only_what_was_cut_is_left():
    assert left(only_gels=["cto 1/4", "Plus green 1/8"]) == {"CTO 1/4", "Plus green 1/8"}
    assert left(only_gels=[]) == set()
    assert left(only_gels=["CTO 1/4", "CTB 1/4"], exclude_families=["CTB"]) == {"CTO 1/4"}


@pytest.mark.parametrize(
    ("limits", "where", "names"),
    [
        ({"exclude_families": ["CTO", "Straw"]}, "exclude_families[1]", "CTB"),
        ({"only_gels": ["CTO 1/4", "CTO 9/9"]}, "only_gels[1]", "CTB full"),
    ],
)
def test_limits_that_name_what_is_not_there_are_pointed_at(limits, where, names):
    with pytest.raises(Refused) as no:
        left(**limits)
    [problem] = no.value.problems
    assert problem.where == where and names in problem.allowed


def test_a_name_is_found_whatever_its_case_and_spaces():
    gel_arrays = gel_arrays_of(tuple(SHIPPED))
    assert [gel_arrays.names[i] for i in gel_arrays.find(["cto  1/4", " ND 0.3 "])] == ["CTO 1/4", "ND 0.3"]


def test_every_unknown_name_is_pointed_at():
    gel_arrays = gel_arrays_of(tuple(SHIPPED))
    with pytest.raises(Refused) as no:
        gel_arrays.find(["CTO 1/4", "CTO 9/9", "Straw"])
    assert [p.where for p in no.value.problems] == ["[1]", "[2]"]
    assert "'Straw'" in no.value.problems[1].says


@pytest.mark.parametrize(
    "row",
    [
        Gel(family="CTO", fraction="1/1", mired=134.0, stops=0.1),
        Gel(family="CTB", fraction="1/1", mired=-300.0),
        Gel(family="Plus green", fraction="1/1", cc=80.0),
    ],
    ids=lambda row: row.name,
)
def test_a_row_that_no_gel_can_do_is_pointed_at(row):
    rows = [*nominal()[:3], row, *nominal()[5:]]
    with pytest.raises(Refused) as no:
        gel_arrays_of(tuple(rows))
    [problem] = no.value.problems
    assert problem.where == "[3]"
    assert problem.says.startswith(f"{row.name}: ")


def test_a_familys_strongest_sheet_comes_first():
    gel_arrays = gel_arrays_of(tuple(SHIPPED))
    for family in ("CTB", "Minus green"):
        assert [n for n in gel_arrays.names if n.startswith(family)] == [
            f"{family} {fraction}" for fraction in ("full", "3/4", "1/2", "1/4", "1/8")
        ]


def test_the_light_that_gels_cost_by_name():
    lost = nominal_stops(gel_arrays_of(tuple(SHIPPED)))
    assert set(lost) == {g.name for g in SHIPPED}
    assert lost["ND 0.3"] == pytest.approx(1.0) and lost["Diffusion 1/2"] == pytest.approx(0.7)
    assert lost["CTO full"] == pytest.approx(0.714, abs=1e-3)
    assert lost["CTB full"] == pytest.approx(1.516, abs=1e-3)


def test_the_order_of_rows_does_not_matter():
    forwards, backwards = gel_arrays_of(tuple(SHIPPED)), gel_arrays_of(tuple(SHIPPED[::-1]))
    assert forwards.names == backwards.names
    assert forwards.transmittances == pytest.approx(backwards.transmittances, abs=1e-12)
