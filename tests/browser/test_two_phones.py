"""Two phones with one form open: what each changed is kept, and one field of both is one tap."""

from itertools import pairwise

import pytest
from axe_playwright_python.sync_playwright import Axe
from flask import Flask
from playwright.sync_api import Page, expect

from advisor.model import Target
from tests.browser.crew import Crew
from tests.browser.test_access import BEYOND, NARROW, TAGS
from tests.thorough import in_turn

pytestmark = pytest.mark.usefixtures("plain")
ASKED = (["Note"], ["Note", "Name", "Power"])
"""One field that both changed, and several."""


def opened(crew: Crew, who: str, path: str) -> Page:
    page = crew.phone(who, path)
    for details in page.locator("main details").all():
        details.evaluate("(part) => { part.open = true; }")
    return page


def save(page: Page, to: str) -> None:
    page.get_by_role("button", name="Save", exact=True).last.click()
    page.wait_for_url(to)


@pytest.fixture
def source(here: Flask):
    return lambda: here.extensions["advisor"].sets.get_source(5)


def test_each_keeps_what_they_changed_and_nobody_is_asked(crew: Crew, source):
    mia, bo = (opened(crew, who, "/sources/5/edit") for who in ("Mia", "Bo"))
    mia.get_by_label("Name", exact=True).fill("Rim")
    mia.get_by_label("CCT", exact=True).fill("3100")
    save(mia, "**/sources/5")
    bo.get_by_label("Note").fill("barn doors")
    bo.get_by_label("Power").fill("650")
    save(bo, "**/sources/5")
    now = source()
    assert (now.source.name, now.source.note, now.source.watts) == ("Rim", "barn doors", 650)
    assert (now.source.reading.cct, now.readings) == (3100, 2)


@pytest.mark.parametrize(("tap", "note"), [("Keep Mia’s", "on the left stand"), ("Use mine", "barn doors")])
def test_one_field_of_both_is_one_tap(crew: Crew, source, tap: str, note: str):
    mia, bo = (opened(crew, who, "/sources/5/edit") for who in ("Mia", "Bo"))
    mia.get_by_label("Note").fill("on the left stand")
    save(mia, "**/sources/5")
    bo.get_by_label("Note").fill("barn doors")
    bo.get_by_label("Power").fill("650")
    bo.get_by_role("button", name="Save", exact=True).click()
    expect(bo.get_by_role("alert")).to_contain_text("Mia changed “Note” too")
    assert source().source.note == "on the left stand"
    bo.get_by_role("button", name=tap).click()
    bo.wait_for_url("**/sources/5")
    assert (source().source.note, source().source.watts) == (note, 650)


def test_enter_picks_nothing(crew: Crew, source):
    mia, bo = (opened(crew, who, "/sources/5/edit") for who in ("Mia", "Bo"))
    mia.get_by_label("Note").fill("on the left stand")
    save(mia, "**/sources/5")
    bo.get_by_label("Note").fill("barn doors")
    bo.get_by_label("Note").press("Enter")
    expect(bo.get_by_role("alert")).to_contain_text("Mia changed “Note” too")
    with bo.expect_response("**/sources/5/edit"):
        bo.get_by_label("Note").press("Enter")
    expect(bo.get_by_role("alert")).to_contain_text("Use mine: barn doors")
    assert source().source.note == "on the left stand"


def test_a_draft_keeps_what_it_was_typed_over(crew: Crew, source):
    """Bo reloads after Mia saved: the page shows hers, and what Bo typed was typed over what was before."""
    mia, bo = (opened(crew, who, "/sources/5/edit") for who in ("Mia", "Bo"))
    bo.get_by_label("Note").fill("barn doors")
    mia.get_by_label("Note").fill("on the left stand")
    mia.get_by_label("CCT", exact=True).fill("3100")
    save(mia, "**/sources/5")
    bo.reload()
    expect(bo.get_by_label("Note")).to_have_value("barn doors")
    bo.get_by_role("button", name="Save", exact=True).click()
    expect(bo.get_by_role("alert")).to_contain_text("Mia changed “Note” too")
    bo.get_by_role("button", name="Use mine").click()
    bo.wait_for_url("**/sources/5")
    assert (source().source.note, source().source.reading.cct) == ("barn doors", 3100)


def test_a_target_of_one_and_a_limit_of_the_other(crew: Crew, here: Flask):
    mia, bo = (opened(crew, who, "/sets/1/edit") for who in ("Mia", "Bo"))
    mia.get_by_label("Target CCT").fill("4300")
    save(mia, "**/sets/1")
    bo.get_by_label("Layers, at most").fill("2")
    save(bo, "**/sets/1")
    now = here.extensions["advisor"].sets.get_set(1)
    assert (now.target.cct, now.limits.max_layers) == (4300, 2)


def test_the_truck_counted_by_two(crew: Crew, here: Flask):
    mia, bo = (opened(crew, who, "/gels/truck") for who in ("Mia", "Bo"))
    mia.get_by_label("½ CTO, sheets").fill("2")
    save(mia, "**/gels")
    bo.get_by_label("¼ CTO, sheets").fill("3")
    save(bo, "**/gels")
    table = here.extensions["advisor"].gels.in_force().table
    assert [table.find(name).stock for name in ("CTO 1/2", "CTO 1/4")] == [2, 3]


@pytest.mark.parametrize(
    ("fields", "look"),
    [(some, look) for at, some in enumerate(ASKED) for look in in_turn(["night", "day"], at)],
    ids=lambda value: value if isinstance(value, str) else f"{len(value)} asked",
)
def test_what_is_asked_fits_a_narrow_screen_and_a_gloved_thumb(
    crew: Crew, here: Flask, fields: list[str], look: str
):
    values = {"Note": "on the left stand, behind the flat", "Name": "Rim from the window", "Power": "650"}
    bo = opened(crew, "Bo", "/sources/5/edit")
    bo.context.add_cookies([{"name": "look", "value": look, "url": crew.base}])
    bo.set_viewport_size(NARROW)
    bo.reload()
    for details in bo.locator("main details").all():
        details.evaluate("(part) => { part.open = true; }")
    theirs = {"note": values["Note"], "name": values["Name"], "watts": 650}
    here.extensions["advisor"].sets.by("Mia").change_source(5, theirs)
    for name in fields:
        bo.get_by_label(name, exact=True).fill("7" if name == "Power" else f"{values[name]}, or not at all")
    bo.get_by_role("button", name="Save", exact=True).click()
    alert = bo.get_by_role("alert")
    expect(alert).to_contain_text("Mia changed")
    options = {"runOnly": {"type": "tag", "values": TAGS}, "resultTypes": ["violations"]}
    assert [rule["id"] for rule in Axe().run(bo, options=options).response["violations"]] == []
    assert bo.evaluate(BEYOND) <= 0
    at_one_time = "(all) => all.map((e) => e.getBoundingClientRect().toJSON())"
    boxes = alert.locator("button:visible, label").evaluate_all(at_one_time)
    assert len(boxes) == (2 if len(fields) == 1 else 2 * len(fields) + 1)
    assert all(box["height"] >= 48 for box in boxes)
    tops = sorted((box["y"], box["y"] + box["height"]) for box in boxes)
    assert all(below[0] - above[1] >= 8 for above, below in pairwise(tops))


def test_a_reading_typed_for_another_target_says_so_once_it_is_saved(crew: Crew, here: Flask):
    sets = here.extensions["advisor"].sets
    mia = crew.phone("Mia", "/sources/5")
    mia.locator("#new-reading > summary").click()
    mia.get_by_label("CCT", exact=True).fill("5600")
    now = sets.get_source(5)
    with mia.expect_response("**/sources/5"):  # the page is renewed behind the pad
        sets.by("Bo").update_set(now.set_id, target=Target(cct=5000, locus="daylight"))
    mia.get_by_label("Duv", exact=True).fill("0.001")
    mia.locator("#new-reading").get_by_role("button", name="Save", exact=True).click()
    said = "Target is now 5\u202f000\u00a0K daylight. Bo changed it."
    expect(mia.get_by_role("main")).to_contain_text(said)
