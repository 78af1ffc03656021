"""Long forms: read as the standard says, in few passes; what is no escape stays as it is."""

from urllib.parse import parse_qsl, urlencode

import pytest
from hypothesis import given
from hypothesis import strategies as st
from werkzeug.exceptions import RequestEntityTooLarge

from advisor.web.long_forms import fields_of

TEXTS = st.text(st.characters(exclude_categories=["Cs"]), max_size=40)


@given(st.lists(st.tuples(TEXTS.filter(bool), TEXTS), max_size=5))
def test_what_a_browser_sends_comes_out_as_it_was_typed(fields):
    assert fields_of(urlencode(fields).encode()) == fields


@given(st.text("ab=%&+0F12 \n\r", max_size=60))
def test_what_no_browser_sends_is_read_as_the_library_reads_it(body):
    assert fields_of(body.encode()) == parse_qsl(body, keep_blank_values=True)


def test_bytes_that_are_no_text_become_the_sign_for_it():
    assert fields_of(b"a=\xc3\xa9\r\n=\n\x00") == [("a", "é\r\n=\n\0")]
    assert fields_of(b"a=%FF\xff%C3%A9") == [("a", "��é")]


def test_more_fields_than_any_page_has_are_refused(client, sample):
    with pytest.raises(RequestEntityTooLarge):
        fields_of(b"&" * 20_000)
    many = "a=1&" * 20_000
    form = "application/x-www-form-urlencoded"
    assert client.post("/sets/1/paste", data=many, content_type=form).status_code == 413


def test_a_long_form_is_read_by_its_page(client, sample):
    text = "name;CCT;Duv\n" + "A%2B = 1;5600;+0.001\n" + " \n" * 50_000
    page = client.post("/sets/1/paste", data={"text": text}).text
    assert "A%2B = 1" in page


@pytest.mark.parametrize("escaped", [b"%E2%80%A8", b"%", b"%2", b"%41%"])
@pytest.mark.parametrize("before", range(63_990, 64_001))
def test_an_escape_is_read_wherever_it_stands(before, escaped):
    body = b"a=" + b"x" * before + escaped + b"y" * 64_000
    assert fields_of(body) == parse_qsl(body.decode(), keep_blank_values=True)
