"""Gels and numbers stay on one line where a person reads them; what programs read has plain spaces."""

import pytest

from advisor.model import Setting
from advisor.model.sets.phrases import dial_said
from advisor.web.wording.values import breakable, gel, kelvin, lux, unbroken

TOGETHER = "\N{NO-BREAK SPACE}"


@pytest.mark.parametrize(
    ("name", "said"),
    [
        ("CTO 1/4", "¼_CTO"),
        ("ND 0.3", "ND_0.3"),
        ("Minus green 1/8", "⅛_minus_green"),
        ("Minus green full", "full_minus green"),
        ("Double scrim full", "double_scrim"),
        ("Something long of our own 1/2", "½_something long of our own"),
    ],
)
def test_a_gel_stays_in_one_piece_unless_it_is_long(name, said):
    assert gel(name) == said.replace("_", TOGETHER)
    assert breakable(gel(name)) == said.replace("_", " ")


def test_a_number_stays_with_its_unit():
    assert kelvin(900) == f"900{TOGETHER}K"
    assert lux(31) == f"31{TOGETHER}lx"
    assert dial_said(Setting(cct=900 * 4, green=1)).count(TOGETHER) == 1


def test_a_line_of_the_record_breaks_in_no_figure_and_behind_no_fraction():
    line = "Key: read 5 690 K, Duv +0.0037, 1 450 lx, behind full CTB, ⅛ plus green and ND 0.3, at 17:28"
    said = "Key: read 5_690_K, Duv_+0.0037, 1_450_lx, behind full_CTB, ⅛_plus green and ND_0.3, at 17:28"
    assert unbroken(line) == said.replace("_", TOGETHER)


def test_the_labels_of_a_light_path_may_break(sample, client):
    assert f"¼{TOGETHER}CTO" in client.get("/sets/1").text
    assert "<span>¼ CTO</span>" in client.get("/sources/1").text


@pytest.mark.parametrize("path", ["/sets/1/pulls.csv", "/gels/gels.csv", "/sets/1/export.json"])
def test_files_have_plain_spaces(shipped, client, path):
    text = client.get(path).text
    assert TOGETHER not in text and "\\u00a0" not in text


def test_the_api_has_plain_spaces(client):
    head = {"name": "A", "kind": "daylight", "reading": {"cct": 6800, "duv": 0.004, "lux": 900}}
    answer = client.post("/api/v1/advice", json={"target": {"cct": 5600}, "sources": [head]})
    assert answer.status_code == 200
    assert TOGETHER not in answer.text and "\\u00a0" not in answer.text
