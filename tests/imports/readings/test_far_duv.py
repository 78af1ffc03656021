"""Duvs that hardly a light has without a gel are asked about, in tables as in messages. Invented."""

import pytest

from advisor.imports import read_readings


def duvs(text, **answers):
    return [row.source and row.source.reading.duv for row in read_readings(text, answers).rows]


@pytest.mark.parametrize(
    ("text", "near", "far"),
    [
        ("name,cct,duv\nKey,5600,0.042\nFill,5600,0.001\n", 0.0042, 0.042),
        ("name;cct;duv\nKey;5600;-0,042\nFill;5600;0,001\n", -0.0042, -0.042),
        ("name,cct,duv\nWindow,5600,0.025\nFill,5600,0.001\n", 0.0025, 0.025),
        ("name,kind,cct,duv\nKey,tungsten,3200,0.021\nFill,led,5600,0.012\n", 0.0021, 0.021),
    ],
)
def test_a_duv_that_is_far_in_a_table_is_asked_about(text, near, far):
    (asked,) = read_readings(text).asked
    assert (asked.key, asked.lines, asked.blocks) == ("far", [2], True)
    assert duvs(text)[0] is None and duvs(text)[1] is not None
    assert duvs(text, far="tenth")[0] == pytest.approx(near)
    assert duvs(text, far="no")[0] == pytest.approx(far)


@pytest.mark.parametrize(
    "text",
    [
        "name,cct,duv\nKey,5600,0.025\nFill,5600,0.021\n",  # all are far off: nothing tells
        "name,kind,cct,duv\nSign,rgb,5600,0.042\nFill,led,5600,0.001\n",
        "name,cct,duv,gel\nKey,5600,0.042,full plus green\nFill,5600,0.001,\n",
    ],
)
def test_one_that_its_light_may_have_is_not(text):
    assert "far" not in [question.key for question in read_readings(text).asked]
    assert None not in duvs(text)
