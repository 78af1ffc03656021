"""A first visit is painted from its page alone: the styles come within it, and in a file for the next page.

On a slow Wi-Fi each thing that is asked for costs one way there and back. A page of a browser that has the
style sheet links to it; which those are tells a cookie that comes with the sheet, and lives as long as the
browser keeps it. At a first visit that link is for paper alone, so that no rule is looked at twice. The
policy names the styles by their hash, so that no other inline style is ever heeded.

References
----------
Content Security Policy Level 3, 2.3.1 (hash-source): base64 of the SHA-256 of what stands in the element.
"""

import re
from base64 import b64encode
from hashlib import sha256
from pathlib import Path

from flask import Flask, Response, request
from markupsafe import Markup

COOKIE = "styles"
SHEET = "advisor.css"
KEPT = 3600
"""How long a browser keeps a static file before it asks again. [s]"""


def first_paint(app: Flask, static: Path) -> str:
    """Hand the styles to templates; return by what the policy knows them: ``'sha256-…'``."""
    style = shortened((static / SHEET).read_text(encoding="utf-8"))
    version = app.static_url_path or ""

    @app.after_request
    def _remember(response: Response) -> Response:
        if request.path == f"{version}/{SHEET}" and response.status_code in (200, 304):
            response.set_cookie(COOKIE, version, max_age=KEPT, httponly=True, samesite="Lax")
        return response

    app.jinja_env.globals.update(
        first_style=lambda: None if request.cookies.get(COOKIE) == version else Markup(style)
    )
    return f"'sha256-{b64encode(sha256(style.encode()).digest()).decode()}'"


def shortened(css: str) -> str:
    """Return a style sheet without comments and needless space."""
    css = re.sub(r"/\*.*?\*/", "", css, flags=re.DOTALL)
    css = re.sub(r"\s+", " ", css)
    return re.sub(r" ?([{};,]) ?", r"\1", css).replace(";}", "}").strip()
