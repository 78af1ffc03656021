"""The electric during a take: two numbers, and the answer is there."""

import re

import pytest
from playwright.sync_api import Page, expect

FIRST = re.compile(r"^Hang ¼ CTO\b")
"""What the first answer to 6 800 K begins with; how much more hangs is no matter of these tests."""
LOST = re.compile(r"^\s*−\d\.\d\sstops?\s*$")


def type_reading(page: Page, cct: str, duv: str) -> None:
    page.get_by_label("CCT", exact=True).press_sequentially(cct)
    page.get_by_label("Duv", exact=True).press_sequentially(duv)


@pytest.fixture
def answer(page):
    page.goto("/")
    return page.locator("#answer")


def test_the_answer_comes_without_pressing_anything(page, answer):
    type_reading(page, "6800", "0.004")
    expect(answer.get_by_role("heading", name=FIRST, level=2)).to_be_visible()
    expect(answer.get_by_role("list", name="Light path")).to_be_visible()
    expect(answer).to_contain_text("CTO cool")
    expect(answer).to_contain_text("Stays bare")


def test_the_answer_is_on_the_first_screen(page, answer):
    type_reading(page, "6800", "0.004")
    heading = answer.get_by_role("heading", name=FIRST, level=2)
    expect(heading).to_be_in_viewport(ratio=1)
    expect(answer.get_by_text(LOST).first).to_be_in_viewport(ratio=1)


def test_a_decimal_comma_is_a_decimal_point(page, answer):
    type_reading(page, "6800", "0,004")
    expect(answer.get_by_role("heading", name=FIRST, level=2)).to_be_visible()
    expect(page.get_by_label("Duv", exact=True)).to_have_value("0,004")


def test_the_sign_can_be_changed_with_a_button(page, answer):
    type_reading(page, "5600", "0,0060")
    expect(answer).to_contain_text(re.compile(r"Bare: [^.]*green"))
    sign = page.get_by_role("button", name="Change the sign of Duv")
    sign.tap()
    expect(page.get_by_label("Duv", exact=True)).to_have_value("−0,0060")
    expect(answer).to_contain_text(re.compile(r"Bare: [^.]*magenta"))
    sign.tap()
    expect(page.get_by_label("Duv", exact=True)).to_have_value("0,0060")
    expect(answer).to_contain_text(re.compile(r"Bare: [^.]*green"))


def test_the_sign_may_come_before_the_number(page, answer):
    page.get_by_label("CCT", exact=True).fill("5600")
    page.get_by_role("button", name="Change the sign of Duv").tap()
    page.get_by_label("Duv", exact=True).press_sequentially("0.006")
    expect(answer).to_contain_text(re.compile(r"Bare: [^.]*magenta"))


def test_the_kind_and_the_target_change_the_answer(page, answer):
    type_reading(page, "3200", "0")
    expect(answer.get_by_role("heading", name="CTB").first).to_be_visible()
    page.get_by_label("Kind of source").select_option("Tungsten")
    page.get_by_text("change").tap()
    page.get_by_label("Target CCT").fill("3200")
    page.get_by_label("Target is on").select_option("Planckian locus")
    expect(answer.get_by_role("heading", name="Stays bare")).to_be_visible()
    expect(page.get_by_text("To 3 200 K Planckian")).to_be_visible()


def test_what_a_slip_likely_means_is_one_tap_away(page, answer):
    type_reading(page, "56", "4")
    answer.get_by_role("button", name="Use +0.0040").tap()
    expect(page.get_by_label("Duv", exact=True)).to_have_value("0.004")
    answer.get_by_role("button", name="Use 5 600 K").tap()
    expect(page.get_by_label("CCT", exact=True)).to_have_value("5600")
    expect(answer.get_by_role("heading", name=re.compile("Hang|Stays"), level=2)).to_be_visible()
    expect(page.get_by_role("alert")).to_have_count(0)


def test_a_slip_is_named_and_goes_away_once_mended(page, answer):
    type_reading(page, "5,6OO", "0")
    expect(answer.get_by_role("alert")).to_contain_text("CCT '5,6OO' is not a number.")
    expect(answer.get_by_role("button", name="Use 5 600 K")).to_be_visible()
    page.get_by_label("CCT", exact=True).fill("5,600")
    expect(answer.get_by_role("heading", name=re.compile("Hang|Leave"))).to_be_visible()
    expect(page.get_by_role("alert")).to_have_count(0)


def test_a_note_that_came_with_the_page_goes_away_too(page, answer):
    page.goto("/?cct=99&duv=0")
    expect(page.get_by_role("alert")).to_contain_text("CCT 99 is out of range")
    page.get_by_label("CCT", exact=True).fill("5500")
    expect(answer.get_by_role("heading", name=re.compile("Hang|Leave"))).to_be_visible()
    expect(page.get_by_role("alert")).to_have_count(0)


def test_an_answer_to_other_numbers_does_not_stay(page, answer):
    type_reading(page, "6800", "0.004")
    expect(answer).to_contain_text("Hang")
    page.get_by_label("CCT", exact=True).fill("")
    expect(answer).not_to_contain_text("Hang")


def test_going_away_and_back_keeps_what_was_typed(page, answer):
    type_reading(page, "6800", "0.004")
    expect(answer).to_contain_text("Hang ¼ CTO")
    page.get_by_role("link", name="Gels").tap()
    page.wait_for_url("**/gels")
    page.go_back()
    expect(page.get_by_label("CCT", exact=True)).to_have_value("6800")
    expect(page.get_by_role("heading", name=FIRST, level=2)).to_be_visible()


def test_a_server_that_is_gone_is_told_and_the_numbers_stay(open_phone):
    page, watch = open_phone()
    page.goto("/")
    page.route("**/*part=answer*", lambda route: route.abort())
    type_reading(page, "6800", "0.004")
    expect(page.locator("#answer")).to_contain_text("The laptop does not answer")
    expect(page.get_by_label("CCT", exact=True)).to_have_value("6800")
    assert {*watch.complaints} == {"Failed to load resource: net::ERR_FAILED"}
    watch.complaints.clear()


def test_it_answers_by_itself_once_the_link_is_back(open_phone):
    page, watch = open_phone()
    page.goto("/")
    page.context.set_offline(True)
    type_reading(page, "6800", "0.004")
    expect(page.locator("#answer")).to_contain_text("The laptop does not answer")
    expect(page.locator("#status")).to_contain_text("OFFLINE.")
    page.context.set_offline(False)
    expect(page.get_by_role("heading", name=FIRST, level=2)).to_be_visible()
    expect(page.locator("#status")).not_to_contain_text("OFFLINE.")
    expect(page.get_by_role("button", name="What to hang")).to_be_hidden()
    assert "cct=6800" in page.url and page.get_by_label("CCT", exact=True).input_value() == "6800"
    assert {*watch.complaints} == {"Failed to load resource: net::ERR_INTERNET_DISCONNECTED"}
    watch.complaints.clear()


def test_what_is_typed_while_there_is_no_link_is_what_is_asked(open_phone):
    """Not the numbers that stood there when the link went."""
    page, watch = open_phone()
    page.goto("/?cct=6800&duv=0.004")
    asked: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    page.context.set_offline(True)
    page.get_by_label("CCT", exact=True).fill("5000")
    expect(page.locator("#answer")).to_contain_text("The laptop does not answer")
    page.get_by_label("CCT", exact=True).fill("3200")
    page.context.set_offline(False)
    expect(page.locator("#answer").get_by_role("heading", name="CTB").first).to_be_visible()
    last = [url for url in asked if "part=answer" in url][-1]
    assert "cct=3200" in last
    watch.complaints.clear()


def test_an_answer_that_never_comes_is_asked_for_again(open_phone):
    page, watch = open_phone()
    page.goto("/")
    asked: list[str] = []

    def first_hangs(route):
        asked.append(route.request.url)
        if len(asked) > 1:
            route.continue_()

    page.route("**/*part=answer*", first_hangs)
    page.get_by_label("CCT", exact=True).fill("6800")
    page.get_by_label("Duv", exact=True).fill("0.004")
    expect(page.get_by_role("heading", name=FIRST, level=2)).to_be_visible()
    assert len(asked) >= 2 and len({*asked}) == 1
    watch.complaints.clear()


def test_a_mistake_of_ours_leaves_no_old_answer(open_phone):
    page, watch = open_phone()
    page.goto("/?cct=6800&duv=0.004")
    page.route("**/*part=answer*", lambda route: route.fulfill(status=500, body="no"))
    page.get_by_label("CCT", exact=True).fill("3200")
    expect(page.locator("#answer")).to_have_text(re.compile("^The laptop does not answer"))
    assert all("500" in text for text in watch.complaints)
    watch.complaints.clear()


def test_without_scripts_the_button_does_it(open_phone):
    page, _ = open_phone(java_script_enabled=False)
    page.goto("/")
    page.get_by_label("CCT", exact=True).fill("6800")
    page.get_by_label("Duv", exact=True).fill("0,004")
    page.get_by_role("button", name="What to hang").tap()
    expect(page.get_by_role("heading", name=FIRST, level=2)).to_be_visible()
    expect(page.get_by_label("Duv", exact=True)).to_have_value("0,004")
    page.get_by_label("CCT", exact=True).fill("900")
    page.get_by_role("button", name="What to hang").tap()
    expect(page.get_by_role("alert")).to_contain_text("CCT 900 is out of range")


def test_everything_on_the_first_page_is_under_60_kb(open_phone):
    page, watch = open_phone()
    answers = []
    page.on("requestfinished", lambda request: answers.append(request))
    page.goto("/?cct=6800&duv=0.004", wait_until="networkidle")
    parts = [request.sizes() for request in answers]
    size = sum(part["responseBodySize"] + part["responseHeadersSize"] for part in parts)
    icon = page.request.get(page.locator("link[rel=icon]").get_attribute("href"))
    assert {url.rsplit("/", 1)[-1].partition("?")[0] for url in watch.requests} >= {
        "",
        "advisor.css",
        "quick.js",
        "sign.js",
    }
    assert 3_000 < size + len(icon.body()) < 60_000


def test_a_street_lamp_is_asked_about_and_a_tap_answers(page, answer):
    type_reading(page, "1970", "-0.0004")
    expect(answer.get_by_role("heading", name="Sodium street light, or a warm bulb?")).to_be_visible()
    expect(answer.get_by_role("heading", name="Hang")).to_be_hidden()
    answer.get_by_role("link", name="Sodium").tap()
    expect(page.get_by_label("Kind of source")).to_have_value("sodium")
    expect(answer.get_by_role("heading", name="Gel can")).to_be_visible()
    expect(page.get_by_label("CCT", exact=True)).to_have_value("1970")
