"""What the tests of the work on a head hang, and read from its page."""

import json
import re

from tests.web.page import Page

CTO = ["CTO 1/4"]


def buttons(page: Page) -> set[str]:
    """Return the words on the buttons and links of the actions."""
    return set(re.findall(r">([^<>]+)</(?:button|a)>", page.html))


def stacks_of(page: Page) -> list[dict[str, object]]:
    """Return the stacks that the forms of the page would decide for."""
    return [
        json.loads(v.replace("&#34;", '"')) for v in re.findall(r'name="stack" value="([^"]+)"', page.html)
    ]


def alert_about(page: Page, words: str) -> str:
    return next(a for a in page.alerts if words in a)
