"""The figures of a row that was understood are said otherwise where it stands: CCT, Duv and light."""

import pytest

from tests.web.pasting import names

THOUSANDS = "name;CCT [kK];Duv [10^-3];lux\nKey;5,48;4,2;850\nFill;3,2;-1;400\n"
MESSAGE = "key 5480 plus 4.2 cc 850 lx\nfill 3200"


@pytest.mark.parametrize(("text", "line"), [(THOUSANDS, 2), (MESSAGE, 1)])
def test_figures_are_changed_in_place_whatever_the_scale_of_their_column(paste, stores, text, line):
    page = paste(text)
    at = {
        name: f"is-cell-{line}-{field}"
        for name, field in (("cct", "CCT"), ("duv", "Duv"), ("lux", "illuminance"))
    }
    assert {name: page.fields[key] for name, key in at.items()} == {
        "cct": "5480",
        "duv": "0.0042",
        "lux": "850",
    }
    page = paste(text, {**page.fields, **dict(page.ticked), at["duv"]: "0,0024", at["lux"]: "900"})
    assert "5 480 K, Duv +0.0024, 900 lx" in " ".join(page.text.split())
    assert page.fields[at["duv"]] == "0.0024"
    paste(text, {**page.fields, **dict(page.ticked), "save": "yes"})
    (reading,) = [
        s.source.reading for s in stores.sets.get_set(1).sources if s.source.name.casefold() == "key"
    ]
    assert (reading.cct, reading.duv, reading.lux) == (5480, pytest.approx(0.0024), 900)


def test_a_duv_that_nobody_read_is_typed_in_its_place(paste):
    page = paste(MESSAGE)
    assert page.fields["is-cell-2-Duv"] == ""
    assert "Fill has no Duv" in page.text
    page = paste(MESSAGE, {**page.fields, "is-cell-2-Duv": "0"})
    assert "has no Duv" not in page.text
    assert page.fields["is-cell-2-Duv"] == "0"


def test_a_figure_that_is_none_says_so_and_is_mended(paste):
    page = paste(MESSAGE)
    page = paste(MESSAGE, {**page.fields, "is-cell-1-CCT": "54800"})
    assert page.heading == "1 of 2 rows understood"
    assert page.fields["is-cell-1-CCT"] == "54800"
    page = paste(MESSAGE, {**page.fields, "is-cell-1-CCT": "5490"})
    assert "5 490 K" in " ".join(page.text.split())


def test_what_was_typed_is_not_saved_before_it_was_shown(paste, stores):
    page = paste(MESSAGE)
    page = paste(MESSAGE, {**page.fields, **dict(page.ticked), "is-cell-1-CCT": "5490", "save": "yes"})
    assert "not what the page showed" in page.alerts[0]
    assert names(stores) == []
