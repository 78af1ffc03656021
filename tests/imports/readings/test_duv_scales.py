"""Duv in other scales, said in the heading or told by the numbers; columns that say Duv in other words."""

import pytest

from advisor.imports import read_anything


@pytest.mark.parametrize(
    ("heading", "cells"),
    [
        *((said, ("2.2", "-0.9")) for said in ("Duv ×1 000", "Duv x 1,000", "Duv (×1.000)", "Duv × 1 000")),
        *(
            (said, ("2.2", "-.9"))
            for said in ("Duv /1 000", "Duv in 1/1000", "Duv ·1000", "Duv, per thousand")
        ),
        *((said, ("22", "-9")) for said in ("Duv per 10 000", "Duv × 10 000", "Duv ×10^4", "Duv 1e-4")),
    ],
)
def test_a_heading_says_the_scale_of_its_duv(heading, cells):
    paste = read_anything(f"Name\tCCT\t{heading}\nTruss\t5630\t{cells[0]}\nFloor\t3190\t{cells[1]}\n")
    assert [row.source.reading.duv for row in paste.rows] == pytest.approx([0.0022, -0.0009])
    assert not paste.asked


@pytest.mark.parametrize(
    ("cells", "likely", "duvs"),
    [
        (("+54", "-9"), "duv-10m", (0.0054, -0.0009)),
        (("42", "31"), "duv-10m", (0.0042, 0.0031)),
        (("12", "-3"), "duv-m", (0.012, -0.003)),
        (("2.2", "-0.9"), "duv-m", (0.0022, -0.0009)),
    ],
)
def test_numbers_that_are_no_duv_are_asked_about_with_the_likeliest_scale(cells, likely, duvs):
    text = f"Name,CCT,Duv\nTruss,5630,{cells[0]}\nFloor,3190,{cells[1]}\n"
    paste = read_anything(text)
    assert not paste.sources
    [question] = paste.asked
    assert question.likely == likely
    mended = read_anything(text, {question.key: likely})
    assert [row.source.reading.duv for row in mended.rows] == pytest.approx(duvs)


def test_whole_numbers_may_be_either_scale():
    [question] = read_anything("Name,CCT,Duv\nTruss,5630,12\nFloor,3190,-3\n").asked
    assert [choice.value for choice in question.choices] == ["duv-m", "duv-10m", "-"]


@pytest.mark.parametrize("heading", ["Duv in 1/1000 of u", "average Duv over 3"])
def test_a_column_that_says_duv_is_never_passed_over_for_zero(heading):
    text = f"Name\tCCT\t{heading}\nTruss\t5630\t2.2\nFloor\t3190\t-0.9\n"
    paste = read_anything(text)
    assert not any(row.source and row.source.reading.duv_assumed for row in paste.rows)


def test_a_message_with_duv_in_ten_thousandths_is_asked_about():
    text = "key 5480 Duv +54\nfill 3190 Duv -12\n"
    [question] = read_anything(text).asked
    mended = read_anything(text, {question.key: question.likely})
    assert [row.source.reading.duv for row in mended.rows] == pytest.approx([0.0054, -0.0012])
