"""More readings than are read at once: refused, or the first of them read. All are invented."""

import pytest

from advisor.imports import read_readings
from advisor.model import Refused

TEXTS = {
    "table": "name,cct,duv\n" + "".join(f"A{n},5600,0.001\n" for n in range(501)),
    "tables": "name,cct,duv\n" + "A,5600,0\n" * 300 + "source;kelvin;duv;lux\n" + "B;5600;0;90\n" * 300,
    "lines": "CCT: 5600\nDuv: 0\n\n" * 501,
    "talk": "".join(f"lamp {n}: 5600K +.001\n" for n in range(501)),
}


@pytest.mark.parametrize("what", TEXTS)
def test_the_first_readings_are_read_where_that_is_said(what):
    with pytest.raises(Refused, match="or read the first 500"):
        read_readings(TEXTS[what])
    paste = read_readings(TEXTS[what], {"first": "500"})
    assert len(paste.rows) == 500
    assert all(row.source for row in paste.rows)
    assert paste.left_out[-1].line > paste.rows[-1].line
    assert any("over the first 500" in said for said in paste.ignored)
    assert "first" in [question.key for question in paste.shape]


def test_a_text_that_is_short_enough_is_read_whole_all_the_same():
    paste = read_readings("name,cct,duv\nA,5600,0\nB,5600,0\n", {"first": "500"})
    assert len(paste.rows) == 2
    assert paste.left_out == []
