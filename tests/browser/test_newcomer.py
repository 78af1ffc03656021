"""Somebody sees the advisor for the first time, and does the job with it."""

import re

from playwright.sync_api import Page, expect

SIX = """name;kind;CCT;Duv;lux
Window;daylight;6800;0,0040;900
Door;discharge;5820;0,0068;1450
Panel;led-white;5480;-0,0021;410
Tubes;fluorescent;4180;0,0079;300
Back;tungsten;3190;-0,0003;640
Shelf;tungsten;2720;0,0002;95
"""


def sources(page: Page):
    return page.get_by_role("list", name="Sources")


def best_stacks(page: Page):
    return sources(page).get_by_role("link")


def go(page: Page, area: str) -> None:
    page.get_by_role("navigation").get_by_role("link", name=area, exact=True).tap()


def test_the_sample_shows_the_job_and_takes_a_new_reading(sample: Page):
    page = sample
    expect(page.get_by_role("heading", level=1)).to_contain_text("invented sample")
    expect(best_stacks(page)).to_have_count(6)
    sources(page).get_by_role("link", name="Shop window").tap()
    answer = page.get_by_role("region", name="What to hang")
    expect(answer).to_contain_text(re.compile(r"Hang\s*¼\s*CTO"))
    page.get_by_text("New reading").tap()
    page.get_by_label("CCT", exact=True).fill("5600")
    page.get_by_label("Duv", exact=True).fill("0,0033")
    page.get_by_role("button", name="Save", exact=True).tap()
    expect(answer.get_by_text("Stays bare", exact=True).first).to_be_in_viewport()
    expect(page.get_by_text("Reads 5 600 K, Duv +0.0033")).to_be_visible()
    page.get_by_text("2 readings").tap()
    expect(page.get_by_role("cell", name="7 200 K")).to_be_visible()


def test_a_number_on_the_plane_opens_its_source(sample: Page):
    page = sample
    page.get_by_text("More", exact=True).tap()
    page.get_by_role("link", name="Shift plane").tap()
    plane = page.get_by_role("group", name="Shift plane")
    expect(plane.get_by_role("link")).to_have_count(6)
    plane.get_by_role("link", name="4, Oven room tubes").tap()
    expect(page.get_by_role("heading", level=1, name="Oven room tubes")).to_be_visible()
    expect(page.get_by_text("Reads 4 180 K")).to_be_visible()


def test_a_table_says_what_the_plane_shows(sample: Page):
    page = sample
    page.goto("/sets/1?view=plane")
    page.get_by_text("The plane as a table").tap()
    rows = page.get_by_role("table").get_by_role("row")
    expect(rows).to_have_count(7)
    expect(page.get_by_role("rowheader", name="5 Backlight")).to_be_visible()
    expect(rows.filter(has_text="Backlight")).to_contain_text("CTB warm")
    expect(rows.filter(has_text="Backlight")).to_contain_text(re.compile(r"CTB.*: \d+\.\d\ssteps? off"))


def test_the_sample_goes_with_one_tap_and_comes_back(sample: Page):
    page = sample
    go(page, "Sets")
    page.get_by_role("button", name="Remove the sample").tap()
    expect(page.get_by_role("heading", name="No set yet")).to_be_visible()
    page.get_by_role("button", name="Undo").tap()
    expect(best_stacks(page)).to_have_count(6)


def test_a_set_of_ones_own_from_pasted_readings(page: Page):
    page.goto("/")
    go(page, "Sets")
    page.get_by_role("link", name="New set").tap()
    page.get_by_label("Name").fill("Café, day 1")
    page.get_by_role("button", name="Save", exact=True).tap()
    page.get_by_label("Add sources").tap()
    page.get_by_role("link", name="Paste readings").tap()
    page.get_by_label("Text with one or many readings").fill(SIX)
    page.get_by_role("button", name="Read it").tap()
    expect(page.get_by_role("heading", name="6 of 6 rows understood")).to_be_visible()
    page.get_by_text("Change", exact=True).nth(1).tap()
    page.get_by_label("Name", exact=True).nth(1).fill("Key through the door")
    page.get_by_role("button", name="Save the ticked ones").tap()
    expect(page.get_by_role("heading", name="Café, day 1")).to_be_visible()
    expect(best_stacks(page)).to_have_count(6)
    expect(sources(page)).to_contain_text("Key through the door")


def test_a_file_is_uploaded(sample: Page):
    page = sample
    page.get_by_label("Add sources").tap()
    page.get_by_role("link", name="Paste readings").tap()
    file = {"name": "six.csv", "mimeType": "text/csv", "buffer": SIX.encode("utf-16")}
    page.get_by_label("Or a text file").set_input_files(file)
    page.get_by_role("button", name="Read it").tap()
    page.get_by_role("button", name="Save the ticked ones").tap()
    expect(best_stacks(page)).to_have_count(12)


def test_a_pasted_row_is_mended_on_the_page(sample: Page):
    page = sample
    page.get_by_label("Add sources").tap()
    page.get_by_role("link", name="Paste readings").tap()
    page.get_by_label("Text with one or many readings").fill("name,CCT,Duv\nA,5600,0.001\nB,56000,0.001\n")
    page.get_by_role("button", name="Read it").tap()
    expect(page.get_by_role("alert")).to_contain_text("CCT 56000 is out of range")
    page.get_by_role("button", name="Save it").tap()
    expect(page.get_by_role("heading", name="1 saved, 1 not understood")).to_be_visible()
    text = page.get_by_label("Fix the text and read it again")
    text.fill(text.input_value().replace("56000", "5600"))
    page.get_by_role("button", name="Read it again").tap()
    page.get_by_role("button", name="Save it").tap()
    expect(best_stacks(page)).to_have_count(8)


def test_too_much_is_refused_in_words_and_stays_in_the_field(sample: Page):
    page = sample
    page.get_by_label("Add sources").tap()
    page.get_by_role("link", name="Paste readings").tap()
    text = page.get_by_label("Text with one or many readings")
    text.evaluate("field => { field.value = 'x'.repeat(2_100_000); }")
    page.get_by_role("button", name="Read it").tap()
    expect(page.get_by_role("heading", name="This is too large, and nothing was changed")).to_be_visible()
    page.go_back()
    assert text.evaluate("field => field.value.length") == 2_100_000


def test_a_reading_is_corrected(sample: Page):
    page = sample
    sources(page).get_by_role("link", name="Backlight").tap()
    page.get_by_role("link", name="Change", exact=True).tap()
    page.get_by_label("CCT", exact=True).fill("31900")
    page.get_by_role("button", name="Save").tap()
    expect(page.get_by_role("alert")).to_contain_text("CCT 31900 is out of range")
    expect(page.get_by_label("CCT", exact=True)).to_be_focused()
    expect(page.get_by_role("alert")).to_be_in_viewport()
    page.get_by_label("CCT", exact=True).fill("3 150")
    page.get_by_role("button", name="Save").tap()
    expect(page.get_by_text("Reads 3 150 K, Duv −0.0003, 640 lx")).to_be_visible()


def test_a_head_is_removed_and_brought_back(sample: Page):
    page = sample
    sources(page).get_by_role("link", name="Oven room tubes").tap()
    page.get_by_role("button", name="Remove").tap()
    expect(page.get_by_role("status").filter(has_text="The source is removed.")).to_be_visible()
    expect(best_stacks(page)).to_have_count(5)
    page.go_back()  # to a page that is no more
    expect(page.get_by_role("button", name="Undo")).to_be_visible()
    page.get_by_role("button", name="Undo").tap()
    expect(best_stacks(page)).to_have_count(6)
    expect(sources(page).get_by_role("link", name="Oven room tubes")).to_be_visible()


def test_a_stack_is_built_by_hand(sample: Page):
    page = sample
    sources(page).get_by_role("link", name="Shop window").tap()
    page.get_by_text("Build a stack by hand").tap()
    page.get_by_label("Layer 1").select_option("¼ CTO")
    page.get_by_label("Layer 2").select_option("⅛ minus green")
    page.get_by_role("button", name="What will it do").tap()
    result = page.locator("#by-hand").get_by_text("Hang ¼ CTO and ⅛ minus green")
    expect(result).to_be_in_viewport()
    expect(page.get_by_text("By the labels alone")).to_be_in_viewport()


def test_two_tabs_edit_one_source(sample: Page):
    first = sample
    sources(first).get_by_role("link", name="Backlight").tap()
    first.get_by_role("link", name="Change", exact=True).tap()
    first.wait_for_url("**/edit")
    second = first.context.new_page()
    second.goto(first.url)
    first.get_by_label("CCT", exact=True).fill("3100")
    first.get_by_role("button", name="Save").tap()
    expect(first.get_by_text("Reads 3 100 K")).to_be_visible()
    second.get_by_label("CCT", exact=True).fill("3250")
    second.get_by_role("button", name="Save").tap()
    expect(second.get_by_role("alert")).to_contain_text("Keep theirs: CCT 3100")
    expect(second.get_by_label("CCT", exact=True)).to_have_value("3250")
    second.get_by_role("button", name="Use mine: CCT 3250").tap()
    expect(second.get_by_text("Reads 3 250 K")).to_be_visible()


def test_the_gel_table_is_changed_and_the_advice_follows(sample: Page):
    page = sample
    go(page, "Gels")
    page.get_by_role("link", name="¼ CTO").tap()
    page.get_by_label("In use").uncheck()
    page.get_by_role("button", name="Save").tap()
    expect(page.get_by_role("link", name="¼ CTO")).to_contain_text("not in use")
    page.get_by_role("link", name="Add a gel").tap()
    page.get_by_label("Family").fill("Straw")
    page.get_by_label("Fraction").fill("full")
    page.get_by_label("Mired shift", exact=True).fill("40")
    page.get_by_role("button", name="Save").tap()
    expect(page.get_by_role("link", name="full straw")).to_contain_text("+40 mired")
    go(page, "Sets")
    page.get_by_role("link", name="Bakery before dawn").tap()
    expect(sources(page).get_by_role("link", name="Shop window")).to_contain_text("full straw")
    go(page, "Gels")
    page.get_by_role("button", name="Put the shipped table back").tap()
    expect(page.get_by_role("link", name="full straw")).to_have_count(0)
    expect(page.get_by_role("link", name="¼ CTO")).not_to_contain_text("not in use")


def test_a_wrong_gel_table_leaves_the_one_in_force(page: Page):
    page.goto("/gels")
    rows = page.locator(".gels > li")
    before = rows.count()
    assert before > 20
    page.get_by_role("link", name="Import", exact=True).tap()
    wrong = "family,fraction,mired,cc,stops,stock,note\nAmber,1/0,90,,,,\n"
    page.get_by_label("Or paste it").fill(wrong)
    page.get_by_role("button", name="Read it").tap()
    expect(page.get_by_role("main")).to_contain_text("Fraction '1/0'")
    expect(page.locator("textarea")).to_have_value(wrong)
    go(page, "Gels")
    expect(rows).to_have_count(before)


def test_the_job_can_be_done_without_scripts(open_phone):
    page, _ = open_phone(java_script_enabled=False)
    page.goto("/sets")
    page.get_by_role("button", name="Show me a sample set").tap()
    sources(page).get_by_role("link", name="Front window").tap()
    page.get_by_text("New reading").tap()
    page.get_by_label("CCT", exact=True).fill("5600")
    page.get_by_label("Duv", exact=True).fill("-0,0033")
    page.get_by_role("button", name="Save", exact=True).tap()
    expect(page.get_by_text("Reads 5 600 K, Duv −0.0033")).to_be_visible()
    page.get_by_role("button", name="Remove").tap()
    page.get_by_role("button", name="Undo").tap()
    expect(sources(page).get_by_role("link")).to_have_count(6)
