"""The name and the mark: what a phone puts onto its home screen, and what is seen of it."""

import json
import re
from base64 import b64encode

import numpy as np
import pytest
from flask import Flask
from playwright.sync_api import Page, expect

from tests.browser.icons import GROUND, LAMP, SIZES, STATIC, TARGET, mark, png

PIXELS = """async (src) => {
  const image = Object.assign(new Image(), { src });
  await image.decode();
  const { width, height } = image;
  const canvas = Object.assign(document.createElement("canvas"), { width, height });
  const context = canvas.getContext("2d");
  context.drawImage(image, 0, 0);
  return [...context.getImageData(0, 0, width, height).data];
}"""


@pytest.mark.parametrize("size", SIZES)
def test_the_icons_are_as_the_script_draws_them(size: int):
    assert (STATIC / f"icon-{size}.png").read_bytes() == png(mark(size))


def test_both_drawings_of_the_mark_have_the_same_colours():
    drawn = re.findall(r"#[0-9a-f]{6}", (STATIC / "icon.svg").read_text(encoding="utf-8"))
    assert set(drawn) == {f"#{bytes(colour).hex()}" for colour in (GROUND, LAMP, TARGET)}


def test_the_manifest_names_the_program_and_icons_that_are_there():
    manifest = json.loads((STATIC / "manifest.webmanifest").read_text(encoding="utf-8"))
    assert manifest["name"] == manifest["short_name"] == "Gel advisor"
    assert manifest["start_url"] == "/start"
    assert all((STATIC / icon["src"]).is_file() for icon in manifest["icons"])


@pytest.mark.parametrize("look", ["night", "day"])
def test_at_32_px_the_edge_is_seen_at_the_top_and_vanishes_below(page: Page, base: str, look: str):
    page.context.add_cookies([{"name": "look", "value": look, "url": base}])
    page.goto("/")
    drawn = page.locator("nav .home img")
    box = drawn.bounding_box()
    assert (box["width"], box["height"]) == (32, 32)
    shot = "data:image/png;base64," + b64encode(drawn.screenshot()).decode()
    pixels = np.array(page.evaluate(PIXELS, shot), dtype=float).reshape(32, 32, 4)[:, :, :3]
    across = np.abs(pixels[:, 12] - pixels[:, 19]).sum(axis=1)
    assert across[6] > 150
    assert across[26] < 12


def test_the_name_is_in_the_first_row_and_leads_to_today_s_set(page: Page, plain: int, here: Flask):
    page.goto("/gels")
    expect(page).to_have_title("Gels · Gel advisor")
    page.get_by_role("link", name="Gel advisor: today’s set").tap()
    page.wait_for_url(f"**/sets/{plain}")


def test_a_phone_that_begins_again_is_back_at_its_last_page(page: Page, plain: int):
    page.goto(f"/sets/{plain}/light")
    page.goto("/sources/2")
    page.goto("/start")
    page.wait_for_url("**/sources/2")


def test_the_manifest_and_the_icon_for_the_home_screen_load(page: Page):
    page.goto("/")
    for rel in ("manifest", "apple-touch-icon", "icon"):
        address = page.locator(f"link[rel={rel}]").get_attribute("href")
        assert page.request.get(address).ok, rel
