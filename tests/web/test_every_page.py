"""Every address that the application has, walked through with the sample set loaded."""

import gzip
import re
from urllib.parse import urljoin

import pytest

from tests.web.page import Page

VALUES = {
    **{"head_id": 1, "test_id": 1},
    **{"set_id": 1, "source_id": 2, "reading_id": 2, "change_id": 3},
    **{"filename": "advisor.css", "code": "7KQ2-M4XD", "number": "0"},
}
_OF_A_KEY = "texts.show_text"
"""What shows a text that was pasted, by a key that only its page has."""
QUERIES = {"gels.edit_gel": "?name=CTO+1%2F4", "together.show_together": "?head=1&head=2"}
HEADERS = ("Content-Security-Policy", "X-Content-Type-Options", "Referrer-Policy", "Cache-Control")
LEADS_ON = {
    "sources.add_reading": "/sources/2",
    "mend.correct_gel": "/sources/2",
    "mend.new_sheets": "/sources/2",
    "mend.gel_was_on": "/sources/2",
    "work.use_level": "/sources/2",
    "work.allow_layer": "/sources/2",
    "work.set_kind": "/sources/2",
    "work.set_work": "/sources/2",
    "work.move_stand": "/sources/2",
    "lamp.set_lamp": "/sources/2",
    "work.hide_cautions": "/sets/1",
    "compare.set_aim": "/sets/1/compare",
    "light.set_exposure": "/sets/1/light",
    "light_asked.add_scrims": "/sets/1/light/asked",
    "orders.go_next": "/sets/1/order",
    "orders.take_head": "/sources/2",
    "orders.free_head": "/sets/1/order",
    "pulls.set_spare": "/sets/1/pulls",
    "pulls.tick_line": "/sets/1/pulls",
    "gels.go_back": "/gels",
    "gels.bring_back": "/gels",
    "whites.take_back": "/sets/1",
    "next_plans.take_back": "/sets/1/plans",
    "next_plans.freeze_target": "/sets/1/plans",
    "undo.undo_change": "/sets/1/record#done",
    "undo.undo_together": "/sets/1",
    "sources.be_head": "/sources/2",
    "undo.undo_head": "/sources/2",
    "start.go_on": "/sets/1",
    "start.show_today": "/sets/1",
}
NO_HTTPS = {"trust.show_trust", "trust.give_certificate"}
"""What is there only where the laptop has a certificate of its own (`tests.https`)."""
PARTS = {"pad.show_answer"}
"""What scripts put into a page: no pages themselves."""


def addresses(app):
    """Every GET address with the name of its view."""
    with app.test_request_context():
        for rule in sorted(app.url_map.iter_rules(), key=str):
            if "GET" in (rule.methods or ()) and rule.endpoint != _OF_A_KEY:
                _, path = rule.build({k: v for k, v in VALUES.items() if k in rule.arguments}) or ("", "")
                yield rule.endpoint, path + QUERIES.get(rule.endpoint, "")


def pages(app, client):
    """Every page of HTML."""
    for _, page in pages_at(app, client):
        yield page


def pages_at(app, client):
    """Every page of HTML with its path."""
    for endpoint, path in addresses(app):
        with client.get(path) as answer:
            if answer.mimetype == "text/html" and endpoint not in LEADS_ON.keys() | PARTS | NO_HTTPS:
                yield path, Page(answer)


def test_every_page_answers(app, shipped, client):
    seen = list(addresses(app))
    assert len(seen) >= 15
    for endpoint, path in seen:
        for method in ("GET", "HEAD"):
            with client.open(path, method=method) as answer:
                if endpoint in LEADS_ON:
                    assert (answer.status_code, answer.location) == (302, LEADS_ON[endpoint])
                else:
                    assert answer.status_code == (404 if endpoint in NO_HTTPS else 200), (method, path)
                for header in HEADERS:
                    assert header in answer.headers, (path, header)


def test_every_page_has_its_parts(app, shipped, client):
    for page in pages(app, client):
        assert page.tags.count("h1") == 1
        assert "main" in page.tags
        assert {"/", "/sets", "/gels"} <= set(page.links)
        assert '<html lang="en" data-look="night">' in page.html
        assert re.search(r"<title>[^<]*\w[^<]* · Gel advisor</title>", page.html)
        main, _, rest = page.html.partition("</nav>")
        assert main.count('aria-current="') == 1
        assert rest.count('aria-current="') <= 1, "of the places of a set"


def test_every_link_leads_somewhere(app, shipped, client):
    todo, seen = ["/"], set()
    while todo:
        path = todo.pop()
        if path in seen:
            continue
        seen.add(path)
        answer = client.get(path, follow_redirects=path == "/today")
        assert answer.status_code == 200, path
        if answer.mimetype == "text/html":
            todo += [urljoin(path, link).partition("#")[0] for link in Page(answer).links]
    assert len(seen) > 20
    assert all(path.startswith("/") for path in seen)


def test_every_field_has_a_label(app, shipped, client):
    count = 0
    for page in pages(app, client):
        for attributes in re.findall(r"<(?:input|select|textarea) ([^>]*)>", page.html):
            if re.search(r'type="(hidden|checkbox|radio)"', attributes):  # these stand inside their labels
                continue
            name = re.findall(r'\bid="([^"]+)"', attributes)[0]
            assert f'<label for="{name}"' in page.html, attributes
            count += 1
    assert count > 40


class TestCompression:
    def test_a_page_is_sent_small_to_those_who_can_read_it(self, shipped, client):
        plain = client.get("/sets/1")
        small = client.get("/sets/1", headers={"Accept-Encoding": "gzip, deflate"})
        assert small.headers["Content-Encoding"] == "gzip"
        assert "Accept-Encoding" in small.headers["Vary"]
        assert int(small.headers["Content-Length"]) == len(small.data) < len(plain.data) / 2
        assert gzip.decompress(small.data) == plain.data

    @pytest.mark.parametrize(
        ("accepts", "small"),
        [
            (None, False),
            ("", False),
            ("br", False),
            ("gzip;q=0", False),
            ("gzip; q=0.000, *", False),
            ("*;q=0", False),
            ("gzip;q=0.1", True),
            ("GZIP", True),
            ("deflate, gzip;q=1.0, *;q=0.5", True),
            ("*", True),
            ("identity, gzip-like", False),
        ],
    )
    def test_it_is_sent_as_whoever_asks_takes_it(self, client, accepts, small):
        """RFC 9110, 12.5.3: a weight of 0 is "not acceptable", and a star is whatever is not named."""
        answer = client.get("/", headers={} if accepts is None else {"Accept-Encoding": accepts})
        assert ("Content-Encoding" in answer.headers) == small
        assert answer.headers["Vary"].split(", ").count("Accept-Encoding") == 1

    def test_who_keeps_answers_is_told_on_what_all_of_them_hang(self, app, client, shipped):
        """RFC 9110, 12.5.5: also of an answer that came plain, and of one that only says 304."""
        style = f"{app.static_url_path}/advisor.css"
        for accepts in ("gzip", "identity"):
            headers = {"Accept-Encoding": accepts}
            for path in ("/", "/sets/1", "/live/1", "/api/v1/openapi.json", "/nothing", style):
                with client.get(path, headers=headers) as answer:
                    assert "Accept-Encoding" in answer.headers["Vary"], (path, accepts)
                    etag = answer.headers.get("ETag")
                if etag:
                    with client.get(path, headers={**headers, "If-None-Match": etag}) as again:
                        assert again.status_code == 304
                        assert "Accept-Encoding" in again.headers["Vary"], (path, accepts)

    def test_the_api_and_the_styles_too(self, client, app):
        for path in ("/api/v1/openapi.json", f"{app.static_url_path}/advisor.css"):
            with client.get(path, headers={"Accept-Encoding": "gzip"}) as answer:
                assert answer.headers["Content-Encoding"] == "gzip", path

    def test_a_file_is_compressed_once_and_again_once_it_changed(self, client, app, monkeypatch, tmp_path):
        monkeypatch.setattr(app, "static_folder", str(tmp_path))
        compressed = []
        real = gzip.compress
        monkeypatch.setattr(
            gzip, "compress", lambda body, *a, **k: compressed.append(body) or real(body, *a, **k)
        )
        for text in ("one " * 200, "another " * 200):
            (tmp_path / "told.js").write_text(text)
            for _ in range(2):
                with client.get(
                    f"{app.static_url_path}/told.js", headers={"Accept-Encoding": "gzip"}
                ) as answer:
                    assert gzip.decompress(answer.data) == text.encode()
        assert compressed == [b"one " * 200, b"another " * 200]

    def test_what_is_short_stays_as_it_is(self, client):
        answer = client.post("/sample", headers={"Accept-Encoding": "gzip"})
        assert "Content-Encoding" not in answer.headers

    def test_a_browser_that_has_the_styles_is_not_sent_them_again(self, client, app):
        path = f"{app.static_url_path}/advisor.css"
        with client.get(path, headers={"Accept-Encoding": "gzip"}) as first:
            etag = first.headers["ETag"]
            assert "max-age" in first.headers["Cache-Control"]
        with client.get(path, headers={"Accept-Encoding": "gzip", "If-None-Match": etag}) as again:
            assert again.status_code == 304
            assert again.data == b""


@pytest.mark.parametrize("name", ["../advisor/cli.py", "..%2Fpyproject.toml", "nothing.css"])
def test_nothing_else_is_served_beside_the_static_files(client, app, name):
    assert client.get(f"{app.static_url_path}/{name}").status_code == 404
