"""A text that is refused comes back by some of its lines; all of it stays on the laptop for who sent it."""

import html
import re

import pytest

from advisor.web.pastes.long_texts import KeptTexts
from tests.web.page import Page
from tests.web.phones import joined, open_app

MOST_PAGE = 64_000
"""The heaviest answer to a text that is refused. [byte]"""
NONSENSE = '"' * 600_000
DOORS = ["/sets/1/paste", "/sets/import", "/gels/import", "/heads/import", "/heads/1/paste"]


@pytest.fixture
def door(client, shipped):
    return lambda path, **data: client.post(path, data=data)


def address_in(answer):
    return html.unescape(re.search(r'href="(/texts/[0-9a-f]+)"', answer.text)[1])


@pytest.mark.parametrize("path", DOORS)
def test_the_answer_is_light_and_the_text_is_kept_whole(client, door, path):
    answer = door(path, text=f"first line\n{NONSENSE}")
    assert answer.status_code == 422
    assert len(answer.data) <= MOST_PAGE
    assert '<pre class="lines">1  first line' in answer.text
    assert "The text has 2 lines. It is kept here." in " ".join(Page(answer).text.split())
    kept = client.get(address_in(answer))
    assert kept.mimetype == "text/plain" and kept.text == f"first line\n{NONSENSE}"


@pytest.mark.parametrize("path", DOORS[1:])
def test_a_form_without_text_means_the_one_that_stayed(door, path):
    first = door(path, text=NONSENSE)
    key = Page(first).fields["kept"]
    again = door(path, text="", kept=key)
    assert again.status_code == 422 and Page(again).fields["kept"] == key
    other = door(path, text="x", kept=key)
    assert "kept" not in Page(other).fields, "another text was typed, and that one counts"


def test_where_it_did_not_stay_the_page_says_so(door):
    answer = door("/gels/import", text="", kept="0" * 32)
    assert answer.status_code == 422
    said = Page(answer).text
    assert "the laptop no longer has this text. Paste it again, or choose its file." in said


def test_nobody_else_is_given_it(tmp_path, closing):
    app = closing(open_app(tmp_path / "data"))
    ana, tom = joined(app, "change", "Ana", "192.168.7.30"), joined(app, "change", "Tom", "192.168.7.31")
    address = address_in(ana.post("/gels/import", {"text": NONSENSE}))
    assert ana.get(address).text == NONSENSE
    assert tom.get(address).status_code == 404


class TestKeptTexts:
    def test_a_phone_keeps_its_last_four(self):
        texts = KeptTexts()
        keys = [texts.keep(1, f"text {i}") for i in range(5)]
        other = texts.keep(2, "text 0")
        assert texts.find(1, keys[0]) is None
        assert [texts.find(1, key) for key in keys[1:]] == [f"text {i}" for i in range(1, 5)]
        assert texts.find(2, other) == "text 0"

    def test_they_take_no_more_than_so_many_bytes(self):
        texts = KeptTexts(most_bytes=50)
        first, second = texts.keep(1, "a" * 1000), texts.keep(2, "".join(map(chr, range(33, 73))))
        assert texts.find(1, first) is None
        assert texts.find(2, second) is not None

    def test_a_half_of_a_sign_comes_back(self):
        texts = KeptTexts()
        assert texts.find(1, texts.keep(1, "\ud800a")) == "\ud800a"
