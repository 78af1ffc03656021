import pytest

from advisor.model import Reading, Setting
from advisor.model.sets.phrases import (
    changed_to,
    counted,
    dial_said,
    grouped,
    listed,
    measured,
    signed,
    stood,
)

NARROW, MINUS = "\N{NARROW NO-BREAK SPACE}", "\N{MINUS SIGN}"
TOGETHER = "\N{NO-BREAK SPACE}"


@pytest.mark.parametrize(
    ("value", "decimals", "said"),
    [
        (12, None, "+12"),
        (-12, None, f"{MINUS}12"),
        (0, None, "0"),
        (0.00004, 4, "0.0000"),
        (-0.00004, 4, "0.0000"),
        (0.0041, 4, "+0.0041"),
        (1234.4, 0, f"+1{NARROW}234"),
        (0.4, 0, "0"),
    ],
)
def test_a_sign_stands_before_what_does_not_round_to_nothing(value, decimals, said):
    assert signed(value, decimals) == said


def test_things_are_counted():
    assert [counted(n, "sheet") for n in (0, 1, 2)] == [
        f"0{TOGETHER}sheets",
        f"1{TOGETHER}sheet",
        f"2{TOGETHER}sheets",
    ]


def test_amounts_up_to_one_as_shown_are_singular():
    said = [f"0.5{TOGETHER}stop", f"1.0{TOGETHER}stop", f"1.1{TOGETHER}stops"]
    assert [measured(v, "stop") for v in (0.5, 1.04, 1.06)] == said


def test_lists_are_joined_as_in_a_sentence():
    assert [listed(["a", "b", "c"][:n]) for n in range(4)] == ["", "a", "a and b", "a, b and c"]


@pytest.mark.parametrize(
    ("green", "said"), [(5, ", green +5"), (-2.5, f", green {MINUS}2.5"), (0, ""), (None, "")]
)
def test_a_setting_leaves_out_a_green_dial_at_nought(green, said):
    setting = Setting(cct=5600) if green is None else Setting(cct=5600, green=green)
    assert dial_said(setting) == f"5{NARROW}600{TOGETHER}K{said}"


def test_how_a_source_stood_is_said_in_the_order_in_which_it_was_set():
    bare = Reading(cct=5600, duv=0)
    tags = {"level": 80, "modifier": "Grid", "dial": Setting(cct=900), "gels": ["CTO 1/4", "ND 0.3"]}
    said = f"at 80{NARROW}%, with Grid, dials at 900{TOGETHER}K, behind cto 1/4 and nd 0.3"
    assert stood(Reading(cct=5600, duv=0, **tags), str.lower) == said
    assert stood(bare) == ""
    assert stood(bare.model_copy(update={"modifier": "Grid"})) == "with Grid"


def test_a_number_of_gels_does_not_run_into_a_fraction():
    """“8 ½ CTB” would be eight and a half."""
    said = [
        text.replace("\N{NO-BREAK SPACE}", " ")
        for text in grouped(["½ CTB"] * 8 + ["¼ CTO"] * 2 + ["ND 0.3"] + ["single scrim"] * 2)
    ]
    assert said == ["8 × ½ CTB", "two ¼ CTO", "ND 0.3", "two single scrims"]


@pytest.mark.parametrize(
    ("field", "value", "said"),
    [
        ("aim", {"leave": True}, "stays bare on purpose"),
        ("aim", {}, "to match the target"),
        ("aim", {"mired": 20, "duv": -0.0035}, "off the target on purpose: +20 mired, Duv −0.0035"),
        ("no_gel", "other", "takes no gel"),
        ("no_gel", "reach", "takes no gel (out of reach)"),
        ("no_gel", None, "gel may hang on it again"),
        ("role", "practical", "role: practical"),
        ("role", None, "role: something else"),
        ("level", 80.0, "level in use 80"),
        ("share_stock", True, "level in use yes"),
        ("note", "Mind the cat", "level in use"),
    ],
)
def test_what_a_field_was_changed_to_is_a_sentence_of_the_record(field, value, said):
    assert changed_to(field, "level in use", value) == said
