"""A finger on the glass goes first: what a page does by itself waits until that is answered."""

import pytest
from flask import Flask
from playwright.sync_api import CDPSession, expect

from tests.browser.crew import Crew, heard, says, status, until

pytestmark = pytest.mark.usefixtures("plain")
LIES = """() => {
  const touch = (type) => document.dispatchEvent(new PointerEvent(type));
  touch("pointerdown");
  // A finger that says nothing for a second counts as gone, however slow the machine is.
  window.lies = setInterval(touch, 100, "pointerdown");
  window.lifts = () => { clearInterval(lies); touch("pointerup"); };
}"""
A_WHILE = """async () => {
  await fetch("/live/1");
  for (let k = 0; k < 20; k++) await new Promise((go) => setTimeout(go));
}"""
SEEN = """async () => {
  for (let k = 0; k < 3; k++) await new Promise(requestAnimationFrame); // with a frame comes what is in sight
  for (let k = 0; k < 20; k++) await new Promise(requestIdleCallback);
}"""


def test_what_another_did_is_put_in_place_once_the_finger_lifts(crew: Crew, here: Flask):
    page = crew.phone("Jo", "/sets/1")
    heard(page)
    heads = page.get_by_role("list", name="Sources").locator("> li")
    page.evaluate(LIES)
    with page.expect_request_finished(lambda request: request.url.endswith("/sets/1")):
        here.extensions["advisor"].sets.delete_source(2)
    page.evaluate(A_WHILE)
    assert heads.count() == 6
    page.evaluate("lifts()")
    expect(heads).to_have_count(5)


def test_who_did_what_is_said_once_the_finger_lifts(crew: Crew):
    page = crew.phone("Jo", "/")
    page.route("**/live/1", lambda route: route.abort())
    page.goto("/sets/1")
    page.evaluate(LIES)
    page.unroute("**/live/1")
    with page.expect_response("**/live/1"):
        pass
    page.evaluate(A_WHILE)
    assert "Last change" not in (status(page).text_content() or "")
    page.evaluate("lifts()")
    says(page, "Last change")


def test_an_answer_is_shown_once_the_key_that_was_pressed_since_is_seen(crew: Crew):
    page = crew.phone("Jo", "/")
    with page.expect_response("**part=answer"):
        page.get_by_label("CCT", exact=True).fill("6800")
        page.get_by_label("Duv", exact=True).fill("0.004")
        page.evaluate(LIES)
    page.evaluate(A_WHILE)
    answer = page.locator("#answer .answer")
    assert answer.count() == 0
    page.evaluate("lifts()")
    expect(answer).to_be_visible()


def test_a_finger_that_never_says_that_it_left_holds_nothing_up(crew: Crew, here: Flask):
    page = crew.phone("Jo", "/sets/1")
    heard(page)
    page.evaluate("document.dispatchEvent(new PointerEvent('pointerdown'))")
    here.extensions["advisor"].sets.delete_source(2)
    expect(page.get_by_role("list", name="Sources").locator("> li")).to_have_count(5)


def test_what_unfolds_is_laid_out_before_it_is_touched(crew: Crew):
    """Compare has a fold for each source. A browser itself lays out what is in one once it is opened."""
    page = crew.phone("Jo", "/sets/1/compare")
    heard(page)
    page.evaluate(SEEN)
    session = page.context.new_cdp_session(page)
    session.send("Performance.enable")
    anew = []
    for nth in range(4):
        page.evaluate("document.body.getBoundingClientRect().height")
        before = laid_out(session)
        page.evaluate(
            f"document.querySelectorAll('.beside summary + *')[{nth}].getBoundingClientRect().height"
        )
        anew.append(laid_out(session) - before)
    assert anew.count(0) > 1  # what tells an age may be laid out in between


def laid_out(session: CDPSession) -> float:
    """Return how many times anything was laid out on a page since it is counted."""
    metrics = session.send("Performance.getMetrics")["metrics"]
    return next(metric["value"] for metric in metrics if metric["name"] == "LayoutCount")


def test_an_age_is_told_anew_without_another_text(crew: Crew):
    page = crew.phone("Jo", "/sets/1")
    heard(page)
    page.evaluate("window.age = document.querySelector('#status span').firstChild; window.was = age.data")
    until(page, "document.querySelector('#status span').textContent !== was")
    assert page.evaluate("document.querySelector('#status span').firstChild === age")
