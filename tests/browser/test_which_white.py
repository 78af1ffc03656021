"""The gaffer asks which white all should go to, waits, and takes one."""

import re

import pytest
from playwright.sync_api import Page, Route, expect


def test_the_answer_comes_by_itself_and_one_tap_takes_it(sample: Page):
    page = sample
    # A target that most sources are far from, so that another is worth going to.
    page.goto("/sets/1/edit")
    page.get_by_label("Target CCT").fill("8000")
    page.get_by_role("button", name="Save").tap()
    page.wait_for_url("**/sets/1*")
    page.goto("/sets/1/whites")
    expect(page.get_by_role("heading", level=1)).to_have_text(re.compile("^Go to "))
    expect(page.get_by_role("list", name="Whites, the best first").get_by_role("heading")).to_have_count(3)
    expect(page.get_by_role("img", name="Map of whites")).to_be_visible()
    page.get_by_role("button", name="Go to white 1").tap()
    page.wait_for_url("**/sets/1*")
    page.goto("/sets/1/whites")
    expect(page.get_by_role("heading", level=1)).to_have_text(re.compile("^Stay at "))


@pytest.mark.parametrize(
    ("code", "words"),
    [(401, "This laptop needs no code"), (404, "This set was removed.")],
    ids=["401", "404"],
)
def test_what_nobody_will_answer_any_more_is_said_once(open_phone, plain: int, code: int, words: str):
    """Who is signed out comes to the page for that, which says something else at the laptop."""
    page, _ = open_phone()
    asked: list[str] = []

    def answer(route: Route) -> None:
        asked.append(route.request.url)
        route.fulfill(status=code, content_type="text/html", body="<p>no</p>")

    page.route("**/whites?part=progress*", answer)
    # A target that no other test asks about: what is known already has no progress.
    here = f"/sets/{plain}"
    page.goto(f"{here}/edit")
    page.get_by_label("Target CCT").fill(str(5600 + code))
    page.get_by_role("button", name="Save").tap()
    page.wait_for_url(f"**{here}")
    page.goto(f"{here}/whites")
    expect(page.locator("body")).to_contain_text(words)
    page.wait_for_timeout(1500)
    assert len(asked) == 1


def test_without_script_there_is_a_link_to_look_again(open_phone):
    page, _ = open_phone(java_script_enabled=False)
    page.goto("/sets")
    page.get_by_role("button", name="Show me a sample set").tap()
    page.wait_for_url("**/sets/1*")
    # A target that no other test asks about, so that its answer is not kept from there.
    page.goto("/sets/1/edit")
    page.get_by_label("Target CCT").fill("5650")
    page.get_by_role("button", name="Save").tap()
    page.wait_for_url("**/sets/1*")
    page.goto("/sets/1/whites")
    answer = page.get_by_role("button", name="Go to white 1")
    for _ in range(100):
        if answer.count():
            break
        again = page.get_by_role("link", name="Look again")
        if again.count():  # it may have ended between the two looks
            again.tap()
        page.wait_for_timeout(200)
    expect(answer).to_be_visible()
