"""Dials that are to be set where nobody read them: the page says how far they were read.

The head, its dials and its readings are invented.
"""

import pytest

from advisor.advice.wording.unread_dials import beyond_read
from advisor.model import Kind, LightSet, Reach, Reading, Setting, Source, Target


@pytest.fixture
def panel(stores):
    """Keep a panel whose green dial was read up to +15, and which is still magenta there; return its set."""
    read = [
        Reading(cct=5500, duv=-0.0160, lux=400, dial=Setting(cct=5600, green=0)),
        Reading(cct=5530, duv=-0.0040, lux=400, dial=Setting(cct=5600, green=15)),
    ]
    head = Source(
        name="Arch panel",
        kind=Kind.LED_WHITE,
        readings=read[:1],
        reading=read[1],
        reach=Reach(cct_from=2700, cct_to=6500, green_from=-30, green_to=30),
    )
    return stores.sets.create_set(LightSet(name="Arch", target=Target(cct=5600), sources=[head]))


def test_a_dial_beyond_what_was_read_says_how_far_it_was(panel, get):
    page = get("/sources/1")
    assert "green +2" in page.text or "green +1" in page.text, "it is to be turned further"
    assert "Its green dial was read from 0 to +15 only." in page.text
    assert "Meter it there." in page.text


def test_once_it_was_read_there_nothing_is_said(panel, get, post):
    fields = {"cct": "5590", "duv": "0.0031", "lux": "400", "behind": "bare"}
    post("/sources/1/reading", {**fields, "dial_cct": "5600", "dial_green": "25"})
    page = get("/sources/1")
    assert "was read from 0 to +15" not in page.text


@pytest.mark.parametrize(
    ("setting", "read", "says"),
    [
        ((5600, 20), [(5600, 0), (5600, 15)], "Its green dial was read from 0 to +15 only."),
        ((5600, -2), [(5600, 0)], "Its green dial was read at 0 only."),
        ((4300, 0), [(5600, 0), (3200, 0)], ""),
        ((6500, 0), [(5600, 0), (3200, 0)], "Its dials were read from 3200 to 5600 K only."),
        ((6500, 5), [(5600, 0)], "Its dials were read at 5600 K and green at 0 only."),
        ((5650, 0), [(5600, 0)], ""),  # a mired and a half: it gives what was read
        ((5600, 15), [(5600, 0), (5600, 15)], ""),
        ((5600, 20), [], ""),
    ],
)
def test_it_names_the_dial_and_its_span(setting, read, says):
    def at(dial):
        return Setting(cct=dial[0], green=dial[1])

    said = beyond_read(at(setting), [at(one) for one in read])
    assert "".join(said.split("\u202f")).replace("\xa0", " ") == says
