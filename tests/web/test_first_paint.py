"""A first visit brings its styles along; a browser that has them is not sent them again."""

import re
from base64 import b64encode
from hashlib import sha256
from pathlib import Path

import pytest

from advisor.web.first_paint import shortened

LINK = re.compile(r'<link rel="stylesheet" href="([^"]+)"( media="print")?>')


def test_the_first_page_holds_its_styles_and_then_asks_for_the_file(client):
    html = client.get("/").get_data(as_text=True)
    head, body = html.split("</head>")
    assert head.count("<style>") == 1
    assert "nav a{" in head
    assert not LINK.search(head)
    screen, paper = LINK.findall(body)  # what is on the screen stands above already
    assert screen[0].endswith("/advisor.css") and paper[0].endswith("/paper.css")
    assert screen[1] == paper[1] == ' media="print"'


def test_the_policy_knows_the_style_by_its_hash_and_no_other(client):
    answer = client.get("/")
    style = re.search("<style>(.*?)</style>", answer.get_data(as_text=True), re.DOTALL)[1]
    digest = b64encode(sha256(style.encode()).digest()).decode()
    policy = answer.headers["Content-Security-Policy"]
    assert f"style-src 'self' 'sha256-{digest}';" in policy
    assert policy.count("sha256-") == 1


def test_with_the_file_a_browser_is_given_a_link(client, app):
    sheet = LINK.search(client.get("/").get_data(as_text=True))[1]
    with client.get(sheet) as answer:
        assert "Max-Age=3600" in answer.headers["Set-Cookie"]
        assert "max-age=3600" in answer.headers["Cache-Control"]
    head = client.get("/sets").get_data(as_text=True).split("</head>")[0]
    screen, paper = LINK.findall(head)
    assert screen == (sheet, "") and paper[1] == ' media="print"'
    assert "<style>" not in head


def test_after_an_update_it_is_a_first_visit_again(client):
    client.set_cookie("styles", "/static/of-another-day")
    assert "<style>" in client.get("/").get_data(as_text=True)


@pytest.mark.parametrize(
    ("css", "short"),
    [
        ("/* a */ p { color: red; }\n", "p{color: red}"),
        ("p > a , b { x: y; } ", "p > a,b{x: y}"),
        ("@media screen { a { b: c } }", "@media screen{a{b: c}}"),
        ("a:not(.b) + c { d: calc(1px + 2px) }", "a:not(.b) + c{d: calc(1px + 2px)}"),
    ],
)
def test_what_a_browser_does_not_need_is_left_out(css, short):
    assert shortened(css) == short


def test_what_is_for_paper_alone_is_no_part_of_a_first_visit(client, app):
    static = Path(app.static_folder)
    assert "@media print" not in (static / "advisor.css").read_text(encoding="utf-8")
    assert "@page" in (static / "paper.css").read_text(encoding="utf-8")
    assert "@page" not in client.get("/").get_data(as_text=True)
