"""What a paste says of the part of each light in the shot goes to the sources that it makes."""

import pytest

from advisor.imports import read_anything
from advisor.imports.vocabulary.kinds import role_of
from advisor.model import Role

TEXT = """Name\tRole\tCCT\tDuv
Panel\tKey\t5600\t0.001
Bounce\tfill light\t5500\t0.002
Edge\tRim\t4300\t0
Bulb\tpractical\t2700\t0
Wash\tBackground\t3200\t0
Torch\tdolly\t6000\t0
Window\t\t6500\t0.003
"""


@pytest.mark.parametrize(
    ("said", "role", "on_subject"),
    [
        ("Key", Role.KEY, None),
        ("key light", Role.KEY, None),
        ("Fill-light", Role.FILL, None),
        ("kicker", Role.BACK, None),
        ("backlight", Role.BACK, None),
        ("Practicals", Role.PRACTICAL, None),
        ("BACKGROUND", Role.OTHER, False),
        ("Führungslicht", Role.KEY, None),
    ],
)
def test_the_trades_words(said, role, on_subject):
    """Common practice, no source."""
    assert role_of(said) == (role, on_subject)


@pytest.mark.parametrize("said", ["", "dolly", "keyboard lamp", "key and fill", "LED"])
def test_what_is_no_role(said):
    assert role_of(said) is None


def test_a_column_of_roles_is_taken_over():
    rows = read_anything(TEXT).rows
    roles = [row.source.role for row in rows]
    assert roles == [Role.KEY, Role.FILL, Role.BACK, Role.PRACTICAL, Role.OTHER, Role.OTHER, Role.OTHER]
    assert [row.source.on_subject for row in rows] == [None] * 4 + [False, None, None]
    [said] = rows[5].problems
    assert "dolly" in said.says and "practical" in said.allowed
    assert not rows[6].problems


def test_a_type_that_is_a_role_is_one():
    [row] = read_anything("Name,Type,CCT,Duv\nPanel,Key,5600,0.001\n").rows
    assert row.source.role is Role.KEY and not row.problems


def test_it_is_shown_and_saved(sample, post, stores):
    page = post(f"/sets/{sample}/paste", {"text": TEXT})
    assert "Panel key" in page.text
    post(f"/sets/{sample}/paste", {**page.fields, **dict(page.ticked), "save": "yes"})
    roles = {one.source.name: one.source.role for one in stores.sets.get_set(sample).sources}
    assert roles["Panel"] is Role.KEY and roles["Bulb"] is Role.PRACTICAL


def test_a_source_of_the_set_keeps_the_role_that_it_has(sample, post, stores):
    text = "Name\tRole\tCCT\tDuv\nBacklight\tfill\t3200\t0\n"
    page = post(f"/sets/{sample}/paste", {"text": text})
    assert "role 'fill' is left out" in page.text
