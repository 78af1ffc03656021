"""The first run: which gels are on the truck is asked once, on a phone; and the answers go by it."""

import re

import pytest
from playwright.sync_api import Page, expect

QUESTION = "Which gels are on the truck?"


def go(page: Page, area: str) -> None:
    page.get_by_role("navigation").get_by_role("link", name=area, exact=True).tap()


def ask(page: Page) -> None:
    page.get_by_label("CCT", exact=True).fill("6800")
    page.get_by_label("Duv", exact=True).fill("0,004")


def sheets(page: Page, name: str):
    return page.get_by_label(f"{name}, sheets", exact=True)


def in_table(page: Page, name: str):
    return page.get_by_role("listitem").filter(has=page.get_by_role("link", name=name))


@pytest.fixture
def question(page: Page) -> Page:
    """A phone that shows the question for the first time."""
    page.goto("/")
    expect(page.get_by_role("heading", name=QUESTION)).to_be_visible()
    page.get_by_role("link", name="Say which").tap()
    expect(page.get_by_role("heading", level=1, name=QUESTION)).to_be_visible()
    return page


def test_gels_are_ticked_counted_and_saved_and_the_quick_check_answers_by_them(question: Page):
    page = question
    page.get_by_role("radio", name="About 110").check()
    page.get_by_role("checkbox", name="CTO ¼", exact=True).uncheck()
    page.get_by_role("checkbox", name="Plus green", exact=True).uncheck()
    expect(sheets(page, "⅛ plus green")).to_be_hidden()
    more = page.get_by_role("button", name="One sheet more of ⅛ CTO")
    for count in ("1", "2", "3"):
        more.tap()
        expect(sheets(page, "⅛ CTO")).to_have_value(count)
    page.get_by_role("button", name="One sheet fewer of ⅛ CTO").tap()
    expect(sheets(page, "⅛ CTO")).to_have_value("2")
    page.get_by_role("button", name="Save").tap()
    expect(page.get_by_text("Gels on the truck: 20 of 27, half CTO about 110.")).to_be_visible()
    expect(page.get_by_role("link", name="⅛ CTO")).to_contain_text("+25 mired")
    expect(page.get_by_role("link", name="⅛ CTO")).to_contain_text("generic, within 10 %")
    expect(in_table(page, "⅛ CTO")).to_contain_text("2 sheets")
    go(page, "Quick check")
    expect(page.get_by_role("heading", name=QUESTION)).to_have_count(0)
    ask(page)
    answer = page.locator("#answer")
    expect(answer.get_by_role("heading", name=re.compile("Hang ⅛ CTO"))).to_be_visible()
    expect(answer).to_contain_text("Your ⅛ CTO is a guess")
    answer.get_by_role("link", name="teach it").tap()
    expect(page.get_by_role("heading", level=1, name="Teach ⅛ CTO")).to_be_visible()
    go(page, "Gels")
    page.get_by_role("button", name="Undo").tap()
    expect(page.get_by_role("link", name="⅛ CTO")).to_contain_text("+20 mired")


def test_it_is_skipped_and_comes_back_from_the_gels(page: Page):
    page.goto("/")
    ask(page)
    expect(page.locator("#answer").get_by_role("heading", name="Hang ¼ CTO")).to_be_visible()
    page.goto("/")
    page.get_by_role("button", name="Skip").tap()
    expect(page.get_by_role("heading", name=QUESTION)).to_have_count(0)
    expect(page.get_by_label("CCT", exact=True)).to_be_visible()
    page.reload()
    expect(page.get_by_role("link", name="To the sets")).to_be_visible()
    expect(page.get_by_role("heading", name=QUESTION)).to_have_count(0)
    go(page, "Gels")
    page.get_by_role("link", name="On the truck").tap()
    expect(page.get_by_role("heading", level=1, name=QUESTION)).to_be_visible()
    expect(page.get_by_role("button", name="Skip")).to_have_count(0)


def test_the_swatch_book_unfolds_and_what_is_wrong_is_mended(question: Page):
    page = question
    field = page.get_by_label("½ CTB: Shift, now −70", exact=True)
    expect(field).to_be_hidden()
    page.get_by_label("Swatch book at hand").tap()
    field.fill("+68")
    page.get_by_role("button", name="Save").tap()
    expect(page.get_by_role("heading", name="Not saved: 1 thing to fix")).to_be_visible()
    expect(page.get_by_role("alert")).to_contain_text("it cools")
    expect(field).to_be_focused()
    field.fill("68")
    page.get_by_role("button", name="Save").tap()
    expect(page.get_by_role("link", name="½ CTB")).to_contain_text("−68 mired")
    expect(page.get_by_role("link", name="½ CTB")).to_contain_text("from the swatch book, within 5 %")


def test_none_lies_below_one_and_plenty_below_none(question: Page):
    page, field = question, sheets(question, "ND 0.3")
    less = page.get_by_role("button", name="One sheet fewer of ND 0.3")
    less.tap()
    expect(field).to_have_value("")
    page.get_by_role("button", name="One sheet more of ND 0.3").tap()
    less.tap()
    expect(field).to_have_value("0")
    less.tap()
    expect(field).to_have_value("")
    field.fill("few")
    less.tap()
    expect(field).to_have_value("few")
    page.reload()
    expect(field).to_have_value("few")  # a draft, as of any form


def test_a_family_that_comes_back_comes_with_all_of_it(question: Page):
    page = question
    for fraction in ("½", "full"):
        page.get_by_role("checkbox", name=f"Diffusion {fraction}").uncheck()
    whole = page.get_by_role("checkbox", name="Diffusion", exact=True)
    whole.uncheck()
    expect(sheets(page, "½ diffusion")).to_be_hidden()
    whole.check()
    for fraction in ("½", "full"):
        expect(page.get_by_role("checkbox", name=f"Diffusion {fraction}")).to_be_checked()


def test_without_scripts_the_fields_do_it(open_phone):
    page, _ = open_phone(java_script_enabled=False)
    page.goto("/gels/truck")
    expect(page.get_by_role("button", name="One sheet more of ⅛ CTO")).to_be_hidden()
    sheets(page, "⅛ CTO").fill("2")
    page.get_by_role("checkbox", name="ND", exact=True).uncheck()
    expect(sheets(page, "ND 0.3")).to_be_hidden()
    page.get_by_label("Swatch book at hand").check()
    page.get_by_label("½ CTO: Shift, now +80", exact=True).fill("77")
    page.get_by_role("button", name="Save").tap()
    expect(in_table(page, "⅛ CTO")).to_contain_text("2 sheets")
    expect(page.get_by_role("link", name="½ CTO")).to_contain_text("+77 mired")
    expect(page.get_by_role("link", name="ND 0.3")).to_contain_text("not in use")
