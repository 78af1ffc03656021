"""`advisor check-gels` warns of rows that look like a slip, and does not refuse them."""

import io

import pytest

from advisor import cli

HEAD = "family,fraction,mired,cc,stops,stock,note\n"


def check(text, monkeypatch, capsys):
    monkeypatch.setattr("sys.stdin", io.TextIOWrapper(io.BytesIO(text.encode())))
    assert cli.main(["check-gels", "-"]) == 0
    return capsys.readouterr().out.splitlines()


@pytest.mark.parametrize(
    ("row", "says"),
    [
        ("CTB,1/4,33,0,,,", "CTB 1/4 cools; +33 warms"),
        ("CTO,1/4,-33,0,,,", "CTO 1/4 warms; -33 cools"),
        ("Minus green,1/2,0,15,,,", "Minus green 1/2 adds magenta; +15 adds green"),
        ("Plus green,1/2,0,-15,,,", "Plus green 1/2 adds green; -15 adds magenta"),
    ],
)
def test_a_gel_that_does_the_contrary_of_its_name(row, says, monkeypatch, capsys):
    warned, last = check(HEAD + "ND,0.3,0,0,1,,\n" + row + "\n", monkeypatch, capsys)
    assert warned.startswith("warning: line 3, column ") and says in warned
    assert last == "stdin: 2 gels, 1 warning"


def test_mireds_in_thousandths(monkeypatch, capsys):
    warned, last = check(HEAD + "CTO,full,0.134,,,,\nCTB,full,-0.134,,,,\n", monkeypatch, capsys)
    assert warned == "warning: mired: the figures are far from the usual ones; taken: × 1000"
    assert last == "stdin: 2 gels, 1 warning"


def test_a_column_without_signs(monkeypatch, capsys):
    rows = "CTO,full,134,,,,\nCTB,full,134,,,,\nCTB,1/2,70,,,,\n"
    warned, _ = check(HEAD + rows, monkeypatch, capsys)
    assert warned == "warning: mired: the figures have no signs; taken: take each sign from the gel's name"


def test_side_effects_are_no_slip(monkeypatch, capsys):
    """Many CTO have a touch of green, and some minus green warms a little."""
    said = check(HEAD + "CTO,full,134,2,,,\nMinus green,1/2,8,-15,,,\n", monkeypatch, capsys)
    assert said == ["stdin: 2 gels, nothing wrong"]
