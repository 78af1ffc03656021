"""Phones of several people on one set, over a link that can be cut."""

from playwright.sync_api import Browser, Error, Locator, Page, expect

from tests.browser.start import PATIENCE, PHONE


class Crew:
    """Opens phones; afterwards no script may have failed on any of them."""

    def __init__(self, browser: Browser, base: str) -> None:
        self.browser = browser
        self.base = base
        self.phones: list[Page] = []
        self.faults: list[str] = []

    def phone(self, who: str, path: str, **options: object) -> Page:
        """Open a page on the phone of somebody."""
        # What a test answers in the laptop's place has to reach the page itself.
        options.setdefault("service_workers", "block")
        context = self.browser.new_context(viewport=PHONE, has_touch=True, base_url=self.base, **options)
        context.set_default_timeout(PATIENCE)
        context.add_cookies([{"name": "who", "value": who, "url": self.base}])
        page = context.new_page()
        page.on("pageerror", lambda error: self.faults.append(str(error)))
        page.goto(path)
        self.phones.append(page)
        return page

    def close(self) -> None:
        """Close all phones."""
        for page in self.phones:
            page.context.close()
        assert not self.faults, self.faults


def status(page: Page) -> Locator:
    """Return the line that says how the link is and what others did."""
    return page.locator("#status").get_by_role("status")


def waiting(page: Page) -> Locator:
    """Return the list of what is not sent yet."""
    return page.locator("#status details")


def read(page: Page, cct: str, duv: str = "0.001") -> None:
    """Take a reading on the page of a source."""
    form = page.locator("#new-reading")
    if not page.get_by_label("CCT", exact=True).is_visible():
        form.locator("> summary").click()
    page.get_by_label("CCT", exact=True).fill(cct)
    page.get_by_label("Duv", exact=True).fill(duv)
    form.get_by_role("button", name="Save", exact=True).click()


def put_away(page: Page) -> None:
    """Wait until the reading pad is closed: what it keeps for the link is out of its fields."""
    expect(page.locator(".pad.over")).to_have_count(0)


def says(page: Page, words: str) -> None:
    """Wait until the status line says something."""
    expect(status(page)).to_contain_text(words)


def heard(page: Page) -> None:
    """Wait for the first answer to what keeps the page live: till then the line at its top is empty."""
    expect(status(page)).not_to_be_empty()


def until(page: Page, expression: str) -> None:
    """Wait until an expression is true. What Playwright has for this the pages' own policy forbids.

    A page that goes on to another one meanwhile is asked again.
    """
    for _ in range(PATIENCE // 100):
        try:
            if page.evaluate(expression):
                return
        except Error as error:
            if "navigation" not in error.message:
                raise
        page.wait_for_timeout(100)
    raise AssertionError(f"{page.url} never: {expression}")


def cut(page: Page) -> None:
    """Take the link away, until the page says so."""
    page.context.set_offline(True)
    says(page, "OFFLINE.")


def mend(page: Page) -> None:
    """Give the link back, until the page says so."""
    page.context.set_offline(False)
    says(page, "Here:")
