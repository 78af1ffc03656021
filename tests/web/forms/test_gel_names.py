"""Gels in forms by the names that people write: kept as the table writes them.

The names are common practice, no source.
"""

import pytest

from advisor.model import Stage

NAMES = ["½ CTO", "half CTO", "1/2 CTO", "cto half", "c.t.o. 50%"]
ROW = {"mired": "12", "cc": "0", "known": "swatch"}


@pytest.mark.parametrize("name", NAMES)
def test_what_hangs_is_kept_as_the_table_writes_it(act, work, name):
    assert act("hung", [name]).status == 200
    assert (work().stage, work().gels) == (Stage.HUNG, ["CTO 1/2"])


def test_a_source_read_behind_gel_that_keeps_some_and_may_have_others(sample, post, stores):
    page = post(
        f"/sets/{sample}/sources/new",
        {
            **{"name": "Lobby", "kind": "tungsten", "cct": "4200", "duv": "0.001"},
            **{"read_behind": ["half CTB"], "keep": ["⅛ plus green"], "limits": "yes"},
            **{"only_cut": "yes", "only_gels": ["quarter CTO", "CTB ¼"]},
        },
    )
    assert page.status == 200
    source = stores.sets.get_source(7).source
    assert source.readings[0].gels == ["CTB 1/2", "Plus green 1/8"]
    assert source.keep == ["Plus green 1/8"]
    assert source.only_gels == ["CTO 1/4", "CTB 1/4"]


def test_a_set_without_some_families_and_with_what_is_cut(sample, get, post, stores):
    seen = get(f"/sets/{sample}/edit").fields
    said = {"exclude_families": ["neutral density"], "only_cut": "yes", "only_gels": ["¼ CTO"]}
    assert post(f"/sets/{sample}/edit", {**seen, **said}).status == 200
    limits = stores.sets.get_set(sample).limits
    assert (limits.exclude_families, limits.only_gels) == (["ND"], ["CTO 1/4"])


def test_a_stack_by_hand_in_an_address(sample, get):
    by_names, by_table = (get(f"/sources/1?gel={name}") for name in ("quarter+CTO", "CTO+1/4"))
    assert by_names.status == 200 and by_names.text == by_table.text


def test_a_name_of_no_gel_is_still_refused_as_it_was_typed(sample, post):
    page = post(
        f"/sets/{sample}/sources/new",
        {"name": "Lobby", "cct": "4200", "duv": "0.001", "read_behind": ["quarter moss"]},
    )
    assert page.status == 422
    assert "no gel is called 'quarter moss'" in page.text


@pytest.mark.parametrize(
    ("family", "fraction", "name"),
    [
        ("Straw", "¼", "Straw 1/4"),
        ("Straw", "quarter", "Straw 1/4"),
        ("cto", "⅓", "CTO 1/3"),
        ("two thirds CTO", "", "CTO 2/3"),
        ("Moss", "9", "Moss 9"),
        ("nd", ".45", "ND 0.45"),
    ],
)
def test_a_row_of_the_table_is_named_as_the_others(post, stores, family, fraction, name):
    page = post("/gels/new", {**ROW, "family": family, "fraction": fraction, "stops": "1"})
    assert page.status == 200
    assert stores.gels.in_force().table.rows[-1].name == name


def test_a_second_row_under_another_name_is_refused(post, stores):
    page = post("/gels/new", {**ROW, "family": "CTO", "fraction": "½"})
    assert page.status == 422
    assert "there is a CTO 1/2 in the table already" in page.text


def test_a_pasted_reading_is_behind_the_gel_of_the_table(save, stores):
    page = save("name,cct,duv,gels\nPorch,6800,0.004,\nPorch,5500,0.003,CTO 25%\n")
    assert page.status == 200
    readings = [kept.reading.gels for kept in stores.sets.readings_of(7)]
    assert sorted(readings) == [[], ["CTO 1/4"]]
