"""Quotation marks in pasted tables: what they hold, and what becomes of those that do not pair."""

import pytest

from advisor.imports import read_readings


def test_quoted_cells_hold_separators_quotes_and_line_breaks():
    text = 'Name,CCT,Duv,Note\n"Key, left",5600,0,"says ""hot""\nand more"\nFill,3200,0,\n'
    key, fill = read_readings(text).rows
    assert (key.source.name, key.source.note) == ("Key, left", 'says "hot"\nand more')
    assert (fill.line, fill.source.name) == (4, "Fill")
    assert key.text == '"Key, left",5600,0,"says ""hot""\nand more"'


@pytest.mark.parametrize(
    ("name", "read"),
    [('12" lamp', '12" lamp'), ('"Key', "Key"), ('Key"', 'Key"'), ('""Key', "Key"), ('"Ke"y', 'Ke"y')],
)
def test_a_quotation_mark_that_does_not_pair_costs_no_other_row(name, read):
    rows = read_readings(f"Name,CCT,Duv\n{name},5600,0\nFill,3200,0\n").rows
    assert [r.line for r in rows] == [2, 3]
    assert rows[0].source.name == read
    assert rows[1].source.name == "Fill"


def test_quotation_marks_that_pair_only_across_rows_cost_none():
    text = 'Name,CCT,Duv\n"a\nb",5600"\nc",3200,0\nFill,3200,0\n'
    assert [r.line for r in read_readings(text).rows] == [2, 3, 4, 5]
