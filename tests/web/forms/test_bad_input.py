"""What people and meters get wrong: each refused with the value, what is allowed, and what was typed."""

from urllib.parse import urlencode

import pytest

from advisor.sample import sample_set
from advisor.web.app import create_app

CCT = "1 000 to 25 000 K"
DUV = "−0.05 to 0.05"

# what is typed into which field, what the refusal says, what it allows
READINGS = [
    ({"cct": "0"}, "CCT 0 is out of range", CCT),
    ({"cct": "-5"}, "CCT -5 is out of range", CCT),
    ({"cct": "900"}, "CCT 900 is out of range", CCT),
    ({"cct": "5,6"}, "CCT 5,6 is out of range. 5 600 K?", CCT),
    ({"cct": "178"}, "5 618 K from mired?", CCT),
    ({"cct": "1e9"}, "CCT 1e9 is out of range", CCT),
    ({"cct": "1e999"}, "'1e999' is too large", CCT),
    ({"cct": "5,6OO"}, "CCT '5,6OO' is not a number. A letter O where a zero should be?", CCT),
    ({"cct": ""}, "CCT is empty", CCT),
    ({"cct": "NaN"}, "CCT 'NaN' is not a number", CCT),
    ({"cct": "inf"}, "CCT 'inf' is not a number", CCT),
    ({"cct": "5600 lx"}, "has the unit 'lx'", CCT),
    ({"cct": "5600 6500"}, "holds more than one number", CCT),
    ({"cct": "9" * 5000}, "is too long for one number", CCT),
    ({"cct": "<b>5600</b>"}, "'<b>5600</b>' is not a number", CCT),
    ({"duv": "0.5"}, "Duv 0.5 is out of range", DUV),
    ({"duv": "4.1"}, "Duv 4.1 is out of range. 0.0041?", DUV),
    ({"duv": "NaN"}, "Duv 'NaN' is not a number", DUV),
    ({"cct": "1000", "duv": "0.05"}, "Duv 0.05 at 1 000 K is a colour that no light can have", "nearer to 0"),
    ({"lux": "0"}, "Illuminance 0 is out of range", "0.01 to 1 000 000 lx"),
    ({"lux": "-3"}, "Illuminance -3 is out of range", "0.01 to 1 000 000 lx"),
    ({"lux": "90 ly"}, "has the unit 'ly'", "lx"),
]
SOURCES = [
    (
        {"cct": "", "duv": "", "x": "0.1", "y": "0.9"},
        "x 0.1, y 0.9 is a colour that no light can have",
        "spectral locus",
    ),
    (
        {"cct": "", "duv": "", "x": "0.9", "y": "0.9"},
        "x 0.9, y 0.9 is a colour that no light can have",
        "spectral locus",
    ),
    (
        {"cct": "", "duv": "", "x": "0", "y": "0"},
        "x 0, y 0 is a colour that no light can have",
        "spectral locus",
    ),
    ({"cct": "", "duv": "", "x": "0.3", "y": "0.6"}, "x 0.3, y 0.6 is too far from white", CCT),
    ({"cct": "", "duv": "", "x": "0.3", "y": ""}, "y is empty", "0 to 1"),
    ({"cct": "", "duv": "", "x": "31", "y": "0.3"}, "x 31 is out of range", "0 to 1"),
    ({"name": ""}, "Name is empty", "1 to 80 characters"),
    ({"name": "   "}, "Name is empty", "1 to 80 characters"),
    ({"name": "n" * 10_000}, "Name has 10000 characters", "1 to 80 characters"),
    ({"note": "n" * 501}, "Note has 501 characters", "at most 500 characters"),
    ({"kind": "torch"}, "kind 'torch' is not known", "tungsten, daylight"),
]
SETS = [
    ({"name": ""}, "Name is empty", "1 to 80 characters"),
    ({"name": "n" * 10_000}, "Name has 10000 characters", "1 to 80 characters"),
    ({"name": "<script>" * 11}, "Name has 88 characters", "1 to 80 characters"),
    ({"target_cct": ""}, "CCT is empty", CCT),
    ({"target_cct": "0"}, "CCT 0 is out of range", CCT),
    (
        {"target_cct": "3200"},
        "3 200 K is no daylight: that begins at 4 000 K",
        "4 000 K or more, or Planckian, as tungsten is",
    ),
    ({"target_locus": "elsewhere"}, "locus 'elsewhere' is not known", "planckian, daylight"),
    ({"target_locus": "source:Moon"}, "no source is called 'Moon' in this set", "a cct with its locus"),
    ({"target_duv_offset": "0.5"}, "Duv 0.5 is out of range", DUV),
    ({"tolerance_steps": "0"}, "Tolerance 0 is out of range", "0.1 to 50 steps"),
    ({"max_layers": "5"}, "Layers 5 is out of range", "0 to 4 layers"),
    ({"max_layers": "2.5"}, "Layers 2.5 is not a whole number", "0 to 4 layers"),
    ({"max_stops": "-1"}, "Light lost -1 is out of range", "0 to 10 stops"),
    ({"note": "n" * 501}, "Note has 501 characters", "at most 500 characters"),
]
GELS = [
    ({"fraction": "1/0"}, "Fraction '1/0' is not one that a gel comes in", "a fraction such as 1/8"),
    ({"fraction": ""}, "Fraction is empty", "1 to 20 characters"),
    ({"cc": "400"}, "Green–magenta shift 400 is out of range", "−100 to 100 CC"),
    ({"mired": "900"}, "Mired shift 900 is out of range", "−500 to 500 mired"),
    ({"mired": "warm"}, "Mired shift 'warm' is not a number", "−500 to 500 mired"),
    ({"cc": "abc"}, "Green–magenta shift 'abc' is not a number", "−100 to 100 CC"),
    ({"stock": "-2"}, "Stock -2 is out of range", "0 to 9 999 sheets"),
    ({"stock": "1.5"}, "Stock 1.5 is not a whole number", "0 to 9 999 sheets"),
    ({"stops": "50"}, "Light lost 50 is out of range", "0 to 10 stops"),
    ({"stops": "0"}, "0 stops is too little", "stops left empty"),
    ({"family": "<b>"}, "Family '<b>' holds a sign that a name cannot", "a letter first"),
    ({"family": "f" * 41}, "Family has 41 characters", "1 to 40 characters"),
    ({"fraction": "1/4"}, "there is a CTO 1/4 in the table already", "another family or fraction"),
    ({"mired": ""}, "CTO 1/16 shifts no colour and gives no stops", "a mired shift, a green–magenta shift"),
    (
        {"mired": "500", "cc": "100"},
        "this shift would take its reference",
        "other mired and cc",
    ),
    ({"note": "n" * 501}, "Note has 501 characters", "at most 500 characters"),
]
READING = {"cct": "5600", "duv": "0.001", "lux": "90"}
SOURCE = {**READING, "name": "Lamp", "kind": "tungsten", "note": "by hand", "x": "", "y": ""}
SET = {"name": "Stage", "target_cct": "5600", "target_locus": "daylight", "note": "by hand"}
GEL = {
    "family": "CTO",
    "fraction": "1/16",
    "mired": "8",
    "cc": "",
    "stops": "",
    "stock": "",
    "note": "by hand",
}
FORMS = [
    *(("/sets/1/sources/new", SOURCE, *case) for case in READINGS + SOURCES),
    *(("/sources/1/edit", SOURCE, *case) for case in READINGS + SOURCES),
    *(("/sources/1/reading", READING, *case) for case in READINGS),
    *(("/sets/new", SET, *case) for case in SETS),
    *(("/gels/new", GEL, *case) for case in GELS),
]
UNLISTED = {"torch", "elsewhere", "source:Moon"}
"""What no list on a page offers, and so cannot stand in one again."""


@pytest.fixture(scope="module")
def app(tmp_path_factory):
    """One application for all of these: every test is that nothing was kept."""
    app = create_app(tmp_path_factory.mktemp("bad-input"))
    app.extensions["advisor"].sets.create_set(sample_set())
    yield app
    app.extensions["database"].close()


@pytest.mark.parametrize(("path", "good", "bad", "says", "allowed"), FORMS)
def test_a_form_is_refused_with_words_and_given_back(post, stores, path, good, bad, says, allowed):
    before = stores.sets.get_set(1), len(stores.sets.list_sets()), stores.gels.in_force()
    page = post(path, {**good, **bad})
    assert page.status == 422
    [alert] = [a for a in page.alerts if says in a]
    assert allowed in alert.split("Allowed: ")[1]
    typed = {k: v for k, v in {**good, **bad}.items() if v not in UNLISTED}
    assert {k: page.fields.get(k) for k in typed} == typed
    assert (stores.sets.get_set(1), len(stores.sets.list_sets()), stores.gels.in_force()) == before


@pytest.mark.parametrize(("bad", "says", "allowed"), READINGS)
def test_the_quick_check_says_what_is_wrong(get, bad, says, allowed):
    page = get("/?" + urlencode({**READING, **bad}))
    [alert] = [a for a in page.alerts if says in a]
    assert allowed in alert.split("Allowed: ")[1]
    assert {k: page.fields[k] for k in bad} == bad
    assert "Hang" not in page.text


def test_several_faults_are_all_named_at_once(post):
    page = post("/sets/1/sources/new", {**SOURCE, "name": "", "cct": "0", "duv": "9", "lux": "-1"})
    assert len(page.alerts) == 4
