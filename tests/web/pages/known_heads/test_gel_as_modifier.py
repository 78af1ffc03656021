"""A gel typed as a modifier of a test or a reading: refused, and where it is kept already nothing undoes it.

An invented lens head of tungsten. Its test with a gel up was made by a version that took it for a modifier.
"""

import pytest

from advisor.model import HeadTest, Kind, KnownHead
from advisor.web.gels.as_modifier import gels_in
from tests.heads import read


def plain(page):
    return page.text.replace("\xa0", " ").replace("\u202f", " ")


@pytest.fixture
def lens(shipped, stores):
    return stores.heads.add_head(KnownHead(name="Lens 7", kind=Kind.TUNGSTEN))


@pytest.fixture
def gelled(lens, stores):
    test = HeadTest(levels=[100, 60], modifiers=["frame", "½ CTO"], distance=3.0)
    readings = [read(100, "frame", 3180, 0.0003), read(60, "frame", 3020, 0.0003)]
    readings += [read(100, "½ CTO", 2520, 0.0003), read(60, "½ CTO", 2420, 0.0003)]
    return stores.heads.add_test(lens, test, readings)


@pytest.mark.parametrize(
    ("modifier", "named"),
    [
        ("½ CTO", ["CTO 1/2"]),
        ("half cto", ["CTO 1/2"]),
        ("softbox + 1/4 plus green", ["Plus green 1/4"]),
        ("dish with ½ CTB and ⅛ CTB", ["CTB 1/2", "CTB 1/8"]),
        ("ND 0.3", []),
        ("½ diffusion", []),
        ("diffuser", []),
        ("grid", []),
        ("full softbox", []),
        ("green room flag", []),
        ("", []),
    ],
)
def test_only_gels_that_move_colour_are_gels_as_modifiers(shipped, stores, modifier, named):
    assert gels_in(modifier, stores.gels.in_force().table.rows) == named


def test_a_test_with_a_gel_as_its_modifier_is_not_begun_and_what_was_typed_stays(lens, post, stores):
    page = post(f"/heads/{lens}/test", {"levels": "100, 60", "bare": "yes", "modifiers": "diffuser, ½ CTO"})
    assert page.status == 422
    assert "½ CTO is a gel, not a modifier" in plain(page)
    assert page.fields["modifiers"] == "diffuser, ½ CTO"
    assert stores.heads.tests_of(lens) == []
    post(f"/heads/{lens}/test", {"levels": "100, 60", "bare": "yes", "modifiers": "diffuser"})
    assert stores.heads.tests_of(lens)[0].test.modifiers == ["", "diffuser"]


def test_a_reading_of_a_test_set_otherwise_names_no_gel(lens, post, stores):
    test_id = stores.heads.begin_test(lens, HeadTest(levels=[100]))
    page = post(f"/tests/{test_id}?at=0", {"cct": "2520", "duv": "0.0003", "modifier": "½ CTO"})
    assert page.status == 422
    assert "½ CTO is a gel" in plain(page)
    assert stores.heads.get_test(test_id).readings == {}


def test_a_pasted_test_names_no_gel(lens, post, stores):
    """A table has a column for gels, and leaves such a row out; the name of a spectrum has none."""
    rows = "nm,100% bare,50% ½ CTO\n" + "\n".join(f"{nm},1,{nm / 780:.4f}" for nm in range(380, 785, 5))
    page = post(f"/heads/{lens}/paste", {"text": rows, "save": "yes"})
    assert page.status == 422
    assert "½ CTO is a gel" in plain(page)
    assert stores.heads.tests_of(lens) == []


def test_a_sheet_that_has_one_tells_no_opposite_over_it(gelled, get, lens):
    """The frame at 60 % is 15 MK⁻¹ warm of 3 200 K, which is ⅛ CTB; what is warm by its gel stays so."""
    page = get(f"/tests/{gelled}/sheet")
    assert "½ CTO is a gel: test it without." in plain(page)
    assert plain(page).count("CTB") == 2
    assert "carry ⅛ CTB at 60 %." in plain(page)
    assert "CTB" not in plain(get(f"/tests/{gelled}/sheet?level=100")).partition("100 %, ½ CTO:")[2][:60]
    assert get(f"/heads/{lens}/test").fields["modifiers"] == "frame"  # the next test proposes it no more


def test_a_head_that_is_used_with_one_says_in_large_words_that_it_hangs_over_it(
    gelled, get, post, stores, lens
):
    post("/sets/1/heads", {"one": str(lens)})
    source = stores.sets.get_set(1).sources[-1]
    stores.sets.change_source(source.id, {"modifier": "frame"})
    assert "Over the" not in plain(get(f"/sources/{source.id}"))
    stores.sets.change_source(source.id, {"modifier": "½ CTO"})
    page = get(f"/sources/{source.id}")
    assert '<p class="answer">Over the ½ CTO that is its modifier</p>' in page.html.replace("\xa0", " ")


def test_a_reading_on_a_set_names_no_gel_unless_it_was_read_so(gelled, post, stores, lens):
    first = stores.sets.get_set(1).sources[0]
    page = post(f"/sources/{first.id}/reading", {"cct": "3050", "duv": "0.0003", "modifier": "½ CTO"})
    assert page.status == 422
    assert "½ CTO is a gel, not a modifier" in plain(page)
    assert stores.sets.get_source(first.id).source == first.source
    post("/sets/1/heads", {"one": str(lens)})
    source = stores.sets.get_set(1).sources[-1]
    post(
        f"/sources/{source.id}/reading", {"cct": "2500", "duv": "0.0003", "level": "60", "modifier": "½ CTO"}
    )
    assert stores.sets.get_source(source.id).source.reading.cct == 2500
