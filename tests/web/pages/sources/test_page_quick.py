"""The quick check: two numbers in, an answer out."""

import re

import pytest

from tests.web.page import Page
from tests.web.tables import imported

WINDOW = "/?cct=6800&duv=0.004&kind=daylight&target_cct=5600&target_locus=daylight"


def test_it_is_the_first_page_and_asks_for_two_numbers(get):
    page = get("/")
    assert page.status == 200
    assert page.fields["cct"] == page.fields["duv"] == ""
    assert page.fields["target_cct"] == "5600"
    assert "Hang" not in page.text
    assert page.alerts == []


def test_it_says_what_to_hang_and_why(get):
    text = get(WINDOW).text
    assert "Hang ¼ CTO" in text
    assert "too cool" in text  # the deviation in words
    assert "mired" in text  # and in mired
    assert "CC (Duv" in text  # and in Duv
    assert "Leave it bare" in text


def test_it_keeps_nothing(get, stores):
    get(WINDOW)
    assert stores.sets.list_sets() == []


def test_the_address_carries_what_was_typed(get):
    fields = get(WINDOW.replace("0.004", "0,0040")).fields
    assert fields["cct"] == "6800"
    assert fields["duv"] == "0,0040"
    assert fields["kind"] == "daylight"


@pytest.mark.parametrize("duv", ["-0,0021", "−0.0021", "-2.1e-3", "−2,1×10⁻³"])
def test_a_minus_and_a_comma_may_be_written_as_keypads_write_them(get, duv):
    assert "too magenta" in get(f"/?cct=5600&duv={duv}").text


def test_the_target_may_lie_on_the_planckian_locus(get):
    assert (
        "Leave it bare" in get("/?cct=3200&duv=0&target_cct=3200&target_locus=planckian").text.split("Or")[0]
    )


def test_a_script_gets_the_answer_alone(get):
    part = get(WINDOW + "&part=answer")
    assert "Hang ¼ CTO" in part.text
    assert "form" not in part.tags
    assert "html" not in part.tags


def test_a_script_gets_what_is_wrong_too(get):
    part = get("/?cct=5,6OO&duv=0&part=answer")
    assert len(part.alerts) == 1
    assert "'5,6OO'" in part.alerts[0]


def test_half_an_entry_says_what_is_missing(get):
    page = get("/?cct=5600&duv=")
    assert page.fields["cct"] == "5600"
    assert [a for a in page.alerts if "Duv is empty" in a]


def test_the_light_may_be_read_too(get):
    assert " lx" in get(WINDOW + "&lux=900").text.split("Hang")[1]


def test_the_fields_bring_up_a_keypad_that_has_a_comma(get):
    html = get("/").html
    assert html.count('inputmode="decimal"') == 3
    assert "inputmode" not in re.findall(r'<input id="duv"[^>]*>', html)[0]  # only with its ± button: sign.js
    assert 'type="number"' not in html


def test_a_target_that_cannot_be_says_so_beside_it(client):
    page = Page(client.get("/?cct=5600&duv=0&target_cct=3200&target_locus=daylight"))
    assert "begins at 4 000 K" in page.alerts[0]
    assert page.fields["target_cct"] == "3200"


def test_with_no_gel_at_all_the_source_stays_bare(get, post):
    imported(post, {"text": "family,fraction,stops\nND,0.3,1\n"})
    assert "Leave it bare" in get(WINDOW).text
