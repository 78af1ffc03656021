"""Take the README's pictures: ``python tests/browser/pictures.py`` writes them into ``.docs/``.

A server on this machine shows the sample set; every picture is a screen as a phone, or a laptop, has it.
"""

import sys
import tempfile
from dataclasses import dataclass
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))

from playwright.sync_api import Page, sync_playwright

from advisor.web.app import create_app
from advisor.web.sample import add_sample
from tests.browser.conftest import ARGUMENTS, PATIENCE, PHONE, chromium, serving

ROOT = Path(__file__).parents[2]
WIDE = {"width": 1280, "height": 800}
MOST = 200_000
"""A picture's size. [byte]"""


@dataclass(frozen=True)
class Picture:
    """A screen: its file's name, its address, how it is looked at; `pad` is a CCT and a Duv typed there."""

    name: str
    path: str
    look: str = "night"
    wide: bool = False
    paper: bool = False
    pad: tuple[str, str] | None = None


PICTURES = (
    Picture("quick-check", "/?cct=6800&duv=0.004&kind=daylight"),
    Picture("set-night", "/sets/1"),
    Picture("set-day", "/sets/1", look="day"),
    Picture("head-night", "/sources/4"),
    Picture("pad-night", "/sources/5", pad=("5450", "12")),
    Picture("compare-night", "/sets/1/compare"),
    Picture("hung-night", "/sources/5"),
    Picture("dial-night", "/sources/3"),
    Picture("whites-night", "/sets/1/whites"),
    Picture("light-night", "/sets/1/light"),
    Picture("pulls-day", "/sets/1/pulls", look="day"),
    Picture("sheet", "/sets/1/sheet", paper=True),
    Picture("set-wide", "/sets/1", wide=True),
)


def take(page: Page, picture: Picture, folder: Path) -> None:
    """Write one picture."""
    page.emulate_media(media="print" if picture.paper else "screen")
    page.goto(picture.path)
    page.get_by_role("progressbar").wait_for(state="detached")
    if picture.pad:
        page.get_by_text("New reading").click()
        for name, typed in zip(("CCT", "Duv"), picture.pad, strict=True):
            page.get_by_label(name, exact=True).fill(typed)
        page.locator(".pad-answer strong").wait_for()
    file = folder / f"{picture.name}.png"
    page.screenshot(path=file)
    size = file.stat().st_size
    print(f"{file.relative_to(ROOT)}: {size / 1000:.0f} kB")
    assert size <= MOST, f"{file} is larger than {MOST / 1000:.0f} kB"


def main() -> None:
    folder = ROOT / ".docs"
    folder.mkdir(exist_ok=True)
    with tempfile.TemporaryDirectory() as data, sync_playwright() as playwright:
        app = create_app(Path(data))
        add_sample(app.extensions["advisor"])
        browser = playwright.chromium.launch(executable_path=chromium(), args=ARGUMENTS)
        with serving(app) as base:
            for picture in PICTURES:
                # The sheet is taken as wide as it prints: A4 without its margins is 703 px.
                size = WIDE if picture.wide else {"width": 703, "height": 920} if picture.paper else PHONE
                context = browser.new_context(
                    base_url=base,
                    viewport=size,
                    device_scale_factor=1 if picture.wide or picture.paper else 2,
                )
                context.add_cookies([{"name": "look", "value": picture.look, "url": base}])
                context.set_default_timeout(PATIENCE)
                take(context.new_page(), picture, folder)
                context.close()
        browser.close()
        app.extensions["database"].close()


if __name__ == "__main__":
    main()
