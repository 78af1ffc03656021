"""What the tests of gel tables write, and how they import it."""

import html
import re
from collections.abc import Callable

from tests.web.page import Page

Post = Callable[..., Page]

HEAD = "family,fraction,mired,cc,stops,stock,note\n"


def filled(page: Page) -> dict[str, str]:
    """Return what the form of an import brings if nobody touches it."""
    fields = {k: v for k, v in page.fields.items() if not k.startswith(("take ", "q ")) or k in page.choices}
    radios = re.findall(r'type="radio" name="([^"]*)" value="([^"]*)" checked', page.html)
    return fields | {html.unescape(k): html.unescape(v) for k, v in radios}


def imported(post: Post, data: dict[str, str] | None = None, *, do: str = "replace", **more: bytes) -> Page:
    """Import a gel table: look at it, and say yes."""
    page = post("/gels/import", data or {}, **more)
    return post("/gels/import", filled(page) | {"do": do}) if "looked at" in page.fields else page
