"""A paste in a browser: what is tapped about it shows at once, and is proposed next time."""

import threading

from playwright.sync_api import Page, expect

from advisor.web.live import aside

GERMAN = "Lampe;Farbtemperatur;Duv;Feld vorn\nTür;6800;0,0040;900\nTafel;54800;-0,0021;410\n"
OTHER = "Lampe;Farbtemperatur;Duv;Feld vorn\nTor;7000;0,0030;700\n"


def read(page: Page, text: str) -> None:
    page.get_by_label("Text with one or many readings").fill(text)
    page.get_by_role("button", name="Read it").tap()


def test_a_german_table_with_an_unknown_heading_is_asked_about_once(sample: Page):
    page = sample
    page.get_by_label("Add sources").tap()
    page.get_by_role("link", name="Paste readings").tap()
    read(page, GERMAN)
    expect(page.get_by_role("heading", level=1)).to_have_text("1 of 2 rows understood")
    page.evaluate("window.same = true")
    page.get_by_role("button", name="54800: 5 480 K").tap()
    expect(page.get_by_role("heading", level=1)).to_have_text("2 of 2 rows understood")
    page.locator(".columns > summary").tap()
    page.get_by_label("“Feld vorn”").select_option("Illuminance, lx")
    expect(page.get_by_text("6 800 K, Duv +0.0040, 900 lx")).to_be_visible()
    expect(page.get_by_text("5 480 K, Duv −0.0021, 410 lx")).to_be_visible()
    assert page.evaluate("window.same"), "the page was loaded anew"
    page.get_by_text("Change", exact=True).first.tap()
    page.get_by_label("Name", exact=True).first.fill("Kitchen door")
    page.get_by_role("button", name="Save the ticked ones").tap()
    expect(page.get_by_role("list", name="Sources")).to_contain_text("Kitchen door")
    expect(page.get_by_role("list", name="Sources")).to_contain_text("Tafel")
    page.get_by_label("Add sources").tap()
    page.get_by_role("link", name="Paste readings").tap()
    read(page, OTHER)
    expect(page.get_by_text("Columns as you said last time")).to_be_visible()
    expect(page.get_by_text("7 000 K, Duv +0.0030, 700 lx")).to_be_visible()
    page.get_by_role("button", name="Forget that").tap()
    expect(page.get_by_text("700 lx")).to_have_count(0)


def test_what_is_taken_of_one_row_opens_no_other(sample: Page):
    page = sample
    page.get_by_label("Add sources").tap()
    page.get_by_role("link", name="Paste readings").tap()
    read(page, "Lamp,CCT,Duv\nDoor,6800,0.004\nBoard,5480,-0.0021\nShelf,2790,0.001\n")
    rows = page.locator(".pasted > li")
    rows.nth(1).get_by_text("Change", exact=True).tap()
    name = rows.nth(1).get_by_label("Name", exact=True)
    line = "element => getComputedStyle(element.closest('details')).textDecorationLine"
    assert name.evaluate(line) == "none", "what is below “Change” was underlined with it"
    name.fill("Blackboard")
    rows.nth(1).get_by_role("button", name="Take it").tap()
    expect(rows.nth(1)).to_contain_text("Blackboard")
    expect(page.locator(".pasted details[open]")).to_have_count(0)
    rows.nth(2).get_by_text("Change", exact=True).tap()
    rows.nth(0).get_by_text("Change", exact=True).tap()
    rows.nth(0).get_by_label("Name", exact=True).fill("Gate")
    rows.nth(0).get_by_role("button", name="Take it").tap()
    expect(rows.nth(0)).to_contain_text("Gate")
    expect(page.locator(".pasted details[open]")).to_have_count(1)
    expect(rows.nth(2).locator("details")).to_have_attribute("open", "")


def test_without_script_each_change_is_a_button(open_phone, plain):
    page, _ = open_phone(java_script_enabled=False)
    page.goto(f"/sets/{plain}/paste")
    read(page, GERMAN)
    page.get_by_role("button", name="54800: 5 480 K").tap()
    page.locator(".columns > summary").tap()
    page.get_by_label("“Feld vorn”").select_option("Illuminance, lx")
    page.get_by_role("button", name="Read them so").tap()
    expect(page.get_by_text("5 480 K, Duv −0.0021, 410 lx")).to_be_visible()
    page.get_by_role("button", name="Save the ticked ones").tap()
    expect(page.get_by_role("list", name="Sources")).to_contain_text("Tafel")


LONG = "name,CCT,Duv\n" + "".join(f"Head {i},{3000 + i},0.001\n" for i in range(150))


class Slow:
    """Processes that take their time."""

    def __init__(self):
        self.let = threading.Event()

    def do(self, function, arguments, tell, unwanted, longest):
        while not self.let.wait(0.01):
            if unwanted():
                raise RuntimeError("stopped")
        return function(*arguments)


def test_a_long_text_is_read_aside_and_its_page_comes_by_itself(here, plain, open_phone, monkeypatch):
    monkeypatch.setattr(aside, "PATIENCE", 0.05)
    slow = here.extensions[aside.PROCESSES] = Slow()
    page, watch = open_phone()
    page.goto(f"/sets/{plain}/paste")
    read(page, LONG)
    expect(page.get_by_role("heading", level=1)).to_have_text("The text is being worked out")
    page.get_by_role("button", name="Stop").tap()
    expect(page.get_by_role("heading", level=1)).to_have_text("The text was stopped")
    page.get_by_role("button", name="Start again").tap()
    expect(page.get_by_role("heading", level=1)).to_have_text("The text is being worked out")
    slow.let.set()
    expect(page.get_by_role("heading", level=1)).to_have_text("150 of 150 rows understood")
    # The browser notes that a page is not there yet.
    watch.complaints[:] = [said for said in watch.complaints if "responded with a status of 503" not in said]
