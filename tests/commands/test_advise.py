"""`advisor advise`: the answer at the command line, and the exit status that a script goes by."""

import io
import json

import pytest

from advisor import cli

HEAD = "family,fraction,mired,cc\n"


@pytest.fixture
def ask(capsys, monkeypatch):
    """Run the command; returns its exit status, what it said and what it complained of."""

    def run(*words, text=None):
        if text is not None:
            monkeypatch.setattr("sys.stdin", io.TextIOWrapper(io.BytesIO(text.encode())))
        status = cli.main(["advise", *words])
        said = capsys.readouterr()
        return status, said.out, said.err

    return run


def test_a_reading_is_answered_as_the_quick_check_does(ask):
    status, said, _ = ask("6800", "+0.004", "--kind", "daylight")
    assert status == 0
    lines = said.splitlines()
    assert lines[0] == "To 5 600 K daylight"
    assert lines[2] == "Hang ¼ CTO."
    assert lines[-1].startswith("Bare: ")
    assert "\N{NO-BREAK SPACE}" not in said and "\N{NARROW NO-BREAK SPACE}" not in said


def test_under_4000_kelvins_the_locus_is_planckian_by_itself(ask):
    status, said, _ = ask("4400", "+0.004", "--to", "3200", "--kind", "daylight")
    assert status == 0
    assert said.startswith("To 3 200 K Planckian (under 4 000 K there is no daylight locus)\n")
    assert "CTO" in said
    assert ask("5600", "0.004", "--to", "4000")[1].startswith("To 4 000 K daylight\n")


def test_a_negative_duv_is_no_option(ask):
    for minus in ("-0.004", "\N{MINUS SIGN}0.004"):
        status, said, _ = ask("5600", minus)
        assert status == 0 and "plus green" in said


def test_what_gel_cannot_do_ends_with_3_and_says_so(ask):
    status, said, _ = ask("2000", "0", "--kind", "sodium")
    assert status == 3
    assert "Gel can’t fix this one." in said and "At best: " in said
    status, said, _ = ask("2000", "0", "--kind", "sodium", "--json")
    assert status == 3
    [source] = json.loads(said)["sources"]
    assert source["reached"] is False
    assert source["beyond"] == "Gel can’t fix this one"


def test_what_is_the_closest_there_is_ends_with_3_too(ask):
    # One prediction lands within the tolerance; its chance to do so is 2 in 10.
    status, said, _ = ask("5500", "+0.004", "--to", "3200", "--kind", "led-white")
    assert status == 3
    assert "A bit off, 2 in 10 it’s close, " in said and "\nClosest there is.\n" in said
    status, said, _ = ask("5500", "+0.004", "--to", "3200", "--kind", "led-white", "--json")
    assert status == 3
    [source] = json.loads(said)["sources"]
    assert (source["reached"], source["beyond"]) == (False, "Closest there is.")
    assert source["stacks"][0]["miss"]["steps"] <= 3


def test_json_is_the_answer_of_the_api(ask, client):
    _, said, _ = ask("6800", "+0.004", "--kind", "daylight", "--lux", "900", "--json")
    reading = {"cct": 6800, "duv": 0.004, "lux": 900}
    accuracy = {"meter_cct_percent": 2, "meter_duv": 0.001, "gel_percent": 5}
    asked = {
        "target": {"cct": 5600},
        "accuracy": accuracy,
        "sources": [{"name": "This source", "kind": "daylight", "reading": reading}],
    }
    answer = client.post("/api/v1/advice", json=asked).json
    [told], [source] = json.loads(said)["sources"], answer["sources"]
    assert (told["needed"], told["stacks"]) == (source["needed"], source["stacks"])


def test_a_pasted_text_comes_from_stdin(ask):
    text = "Window: 6800K +0.004\nLamp: 5200 K duv 0.002 daylight\n"
    status, said, _ = ask("-", "--to", "5600", text=text)
    assert status == 0
    assert "\nWindow\nHang ¼ CTO.\n" in said and "\nLamp\nHang " in said


@pytest.mark.parametrize("name", ["¼ CTO", "quarter CTO", "1/4 CTO", "CTO 1/4", "CTO 25%", "ct orange 1/4"])
def test_gels_of_a_pasted_text_go_by_any_of_their_names(ask, name):
    text = f"name,cct,duv,gels\nWindow,6800,0.004,\nWindow,5500,0.003,{name}\n"
    status, said, wrong = ask("-", text=text)
    assert status == 0
    assert "Hang ¼ CTO.\n" in said and ", metered, " in said
    assert wrong == (
        "advisor: Read several times: Window. Which readings count? Taken for readings of one source.\n"
    )


def test_what_was_read_behind_a_gel_that_nobody_knows_is_left_out_and_told(ask):
    text = "name,cct,duv,gels\nWindow,6800,0.004,\nWindow,5500,0.003,Moss 1/4\n"
    status, said, wrong = ask("-", text=text)
    assert status == 1
    assert "Hang ¼ CTO.\n" in said and "as read" not in said
    left = "advisor: left out: Window: no gel is called 'Moss 1/4', so no reading behind it counts\n"
    assert wrong.endswith(left)


def test_two_readings_of_one_name_that_say_no_more_are_two_sources(ask):
    text = "name,cct,duv\nWindow,6800,0.004\nWindow,5700,0.003\n"
    status, said, wrong = ask("-", text=text)
    assert status == 0
    assert "\nWindow\n" in said and "\nWindow (2)\n" in said
    assert wrong.endswith("Which readings count? Taken for 2 sources.\n")


def test_a_line_that_was_not_understood_is_told_and_ends_with_1(ask):
    text = "name,cct,duv\nWindow,6800,0.004\nDoor,99,0\n"
    status, said, wrong = ask("-", text=text)
    assert status == 1
    assert "Hang ¼ CTO." in said
    assert wrong.startswith("advisor: left out: line 3: ") and "99" in wrong


def test_a_table_in_place_of_the_generic_one(ask, tmp_path):
    file = tmp_path / "mine.csv"
    file.write_text(HEAD + "Amber,full,33,0\n", encoding="utf-8")
    status, said, _ = ask("6800", "0.004", "--gels", str(file))
    assert status == 0 and "Hang full amber." in said
    status, _, wrong = ask("6800", "0.004", "--gels", str(tmp_path / "none.csv"))
    assert status == 1 and "cannot read" in wrong


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("5600",), "'5600' is not a reading"),
        (("5600", "4"), "Duv 4 is out of range (0.0004 or 0.004?)"),
        (("5600", "0", "--to", "3"), "CCT 3 is out of range"),
        (("5600", "0", "--kind", "candle"), "'candle' is not known"),
        (("5600", "0", "--to", "3200", "--locus", "daylight"), "is no daylight"),
        (("5600", "0", "--layers", "9"), "Layers 9 is out of range"),
    ],
)
def test_bad_input_is_told_with_what_is_allowed(ask, words, says):
    status, said, wrong = ask(*words)
    assert status == 1 and said == ""
    assert says in wrong and "Allowed: " in wrong


def test_an_unknown_option_is_named(capsys):
    for words, says in (
        (["--prot", "1"], "--prot is unknown: did you mean --port?"),
        (["--xyzzy"], "--xyzzy is unknown: see advisor --help"),
        (["advise", "5600", "0", "--knid", "sodium"], "--knid is unknown: did you mean --kind?"),
    ):
        with pytest.raises(SystemExit) as end:
            cli.main(words)
        assert end.value.code == 2
        assert says in capsys.readouterr().err
