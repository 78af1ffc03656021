"""A minus where the keypad has none: each field that may be negative has its button, on every page."""

import pytest
from playwright.sync_api import Page, expect

FIELDS = [
    ("/sets/1/edit", "Tolerance, limits, camera", "Camera's tint"),
    ("/sets/1/edit", "Tolerance, limits, camera", "Off the locus on purpose"),
    ("/sets/1/sources/new", "More figures from the meter", "R9"),
    ("/sets/1/sources/new", "Light and tolerance", "Over the key, at most"),
    ("/gels/new", "", "Green"),
    ("/gels/teach", "", "Duv"),
]


@pytest.mark.parametrize(("path", "folded", "label"), FIELDS)
def test_a_field_that_may_be_negative_has_its_sign_to_press(sample: Page, path: str, folded: str, label: str):
    page = sample
    page.goto(path)
    if folded:
        page.get_by_text(folded, exact=True).tap()
    field = page.get_by_label(label, exact=True).first
    field.fill("3.5")
    page.get_by_role("button", name=f"Change the sign of {label}").first.tap()
    expect(field).to_have_value("−3.5")
    expect(field).to_be_focused()
    expect(field).to_have_attribute("inputmode", "decimal")


def test_without_script_their_keyboard_is_whole(open_phone, plain: int):
    page, _ = open_phone(java_script_enabled=False)
    page.goto(f"/sets/{plain}/edit")
    page.get_by_text("Tolerance, limits, camera").tap()
    assert page.get_by_label("Camera's tint", exact=True).get_attribute("inputmode") is None
    assert page.get_by_label("Light lost, at most").get_attribute("inputmode") == "decimal"
    expect(page.get_by_role("button", name="Change the sign of Camera's tint")).to_be_hidden()
