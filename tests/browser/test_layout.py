"""How the pages lie on a phone's screen. Every page is held to 320, 48 and 72 px in test_access.py."""

from flask import Flask
from playwright.sync_api import Page, expect

from advisor.advice.plan.make import make_plan
from advisor.model import Kind, LightSet, Limits, Reading, Source, Target, WantedOffset
from tests.advice.decided import hung_as
from tests.advice.rows import nominal
from tests.heads import keep_tested

LONG = "Unbreakablywide" * 5


def test_a_long_name_makes_no_page_wider(sample: Page):
    page = sample
    page.set_viewport_size({"width": 320, "height": 844})
    page.goto("/sets/1/edit")
    page.get_by_label("Name").fill(LONG)
    page.get_by_role("button", name="Save").tap()
    page.wait_for_url("**/sets/1")
    page.goto("/sources/1/edit")
    page.get_by_label("Name").fill(LONG)
    page.get_by_label("Note").fill(LONG)
    page.get_by_role("button", name="Save").tap()
    page.wait_for_url("**/sources/1")
    page.goto("/gels/new")
    page.get_by_label("Family").fill(LONG[:40])
    page.get_by_label("Fraction").fill("full")
    page.get_by_label("Mired shift", exact=True).fill("31")
    page.get_by_role("button", name="Save").tap()
    page.wait_for_url("**/gels")
    for path in (
        "/sets",
        "/sets/1",
        "/sets/1/edit",
        "/sources/1",
        "/sources/1/edit",
        "/sets/1/paste",
        "/gels",
    ):
        page.goto(path)
        assert page.evaluate("document.documentElement.scrollWidth") <= 320, path


def test_on_its_side_the_plane_is_seen_whole_and_a_test_sheet_fits(sample: Page, here: Flask):
    _, test = keep_tested(here.extensions["advisor"].heads)
    page = sample
    page.set_viewport_size({"width": 844, "height": 390})
    page.goto("/sets/1?view=plane")
    plane, bar = (page.locator(one).first.bounding_box() for one in ("svg.plane", ".places"))
    assert plane and bar and plane["y"] + plane["height"] <= bar["y"]
    expect(page.get_by_text("Near the target it is drawn larger.")).to_be_in_viewport(ratio=1)
    page.goto("/sets/1")
    expect(page.locator(".board a").first).to_be_visible()
    expect(page.locator("svg.plane")).to_be_hidden()  # it would lie half under the bar
    page.goto(f"/tests/{test}/sheet")
    for width in (700, 844, 1024, 1280):
        page.set_viewport_size({"width": width, "height": 390})
        assert page.evaluate("document.documentElement.scrollWidth") <= width


def test_eight_sources_and_what_they_need_stand_on_one_phone_screen(open_phone, here: Flask):
    """All four counts in one line, and the last of eight rows over the bar along the thumb."""
    tungsten = [
        Source(name=f"Lamp {n}", kind=Kind.TUNGSTEN, reading=Reading(cct=3200, duv=0)) for n in range(5)
    ]
    best = make_plan(tungsten, Target(cct=5600), Limits(), nominal()).heads[0].best
    hung = hung_as(tungsten[0], best).model_copy(update={"name": "Key"})
    street = Source(name="Street", kind=Kind.SODIUM, reading=Reading(cct=2050, duv=0))
    left = tungsten[0].model_copy(update={"name": "Shelf", "aim": WantedOffset(leave=True)})
    sources = [street, hung, *tungsten, left]
    sets = here.extensions["advisor"].sets
    set_id = sets.create_set(LightSet(name="Kitchen", target=Target(cct=5600), sources=sources))
    page, _ = open_phone()
    page.goto(f"/sets/{set_id}")
    counts, rows = page.locator(".counts a"), page.locator(".board > li")
    expect(counts).to_have_text(["1 needs you", "5 to hang", "1 to meter", "1 left alone"])
    expect(rows).to_have_count(8)
    assert len({box["y"] for box in (one.bounding_box() for one in counts.all()) if box}) == 1
    last, bar = rows.last.bounding_box(), page.locator(".places").bounding_box()
    assert last and bar and last["y"] + last["height"] <= bar["y"]
