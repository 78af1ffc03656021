"""The order of the heads: each move is kept as it is made, so that nobody walks off from one that is lost."""

from flask import Flask
from playwright.sync_api import Page, expect

from tests.browser.crew import heard


def test_each_tap_and_each_drag_is_kept_at_once(sample: Page, here: Flask):
    sets = here.extensions["advisor"].sets
    path = f"{sample.url}/order"
    sample.goto(path)
    sample.get_by_text("Order of the heads", exact=True).click()
    rows = sample.locator("#walk li")
    before = [row.get_attribute("data-number") for row in rows.all()]
    first, second, third = before[:3]
    sample.locator(f"#walk-{first}").get_by_role("button").last.click()
    expect(rows.first).to_have_attribute("data-number", second or "")
    sample.goto(path)  # off, without another tap
    assert [str(n) for n in sets.get_set(1).walk[:3]] == [second, first, third]
    heard(sample)
    sample.get_by_text("Order of the heads", exact=True).click()
    sample.locator(f"#walk-{first}").evaluate("(row) => row.scrollIntoView({ block: 'center' })")
    grip = sample.locator(f"#walk-{third} .grip").bounding_box()
    top = sample.locator(f"#walk-{second}").bounding_box()
    assert grip and top
    sample.mouse.move(grip["x"] + 5, grip["y"] + grip["height"] / 2)
    sample.mouse.down()
    sample.mouse.move(grip["x"] + 5, top["y"] + top["height"] + 20, steps=4)
    sample.mouse.move(grip["x"] + 5, top["y"] + 2, steps=6)
    with sample.expect_navigation():
        sample.mouse.up()
    expect(rows.first).to_have_attribute("data-number", third or "")
    assert [str(n) for n in sets.get_set(1).walk[:3]] == [third, second, first]
