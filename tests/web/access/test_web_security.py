"""Who may ask; what an answer lets a browser do; markup that a person typed stays text."""

import json
import re
from pathlib import Path

import pytest
from flask import Flask, render_template

from advisor.resources import folder
from advisor.sample import sample_set
from advisor.web.app import create_app
from tests.web.page import Page
from tests.web.phones import Browser, host, open_app

HEADERS = {
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
    "Referrer-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
}
MARKUP = "<b>&\"'</b><script>alert(1)</script>"
TEMPLATED = "{{ 7 * 7 }}"


def posts(app: Flask) -> list[str]:
    """Every address that takes a form."""
    rules = (r for r in app.url_map.iter_rules() if "POST" in (r.methods or ()))
    found = [re.sub(r"<int:\w+>", "1", r.rule) for r in rules]
    assert len(found) > 15
    return found


@pytest.mark.parametrize("host", ["evil.example", "127.0.0.1.evil.example", "localhost.", "192.168.0.7:8080"])
@pytest.mark.parametrize("path", ["/", "/sets/1", "/api/v1/openapi.json", "/nothing"])
def test_a_foreign_host_name_is_not_answered(client, host, path):
    assert client.get(path, headers={"Host": host}).status_code == 421


@pytest.mark.parametrize("host", ["127.0.0.1", "127.0.0.1:8080", "localhost:1234", "[::1]:8080", "[::1]"])
def test_the_machines_own_names_are_answered(client, host):
    assert client.get("/", headers={"Host": host}).status_code == 200


@pytest.mark.parametrize(
    "origin",
    [
        None,
        "null",
        "",
        "http://evil.example",
        "http://localhost:81",
        "https://localhost",
        "http://localhost.evil.example",
        "localhost",
    ],
)
def test_no_form_is_taken_from_elsewhere(app, sample, stores, origin):
    client = app.test_client()
    before = stores.sets.get_set(1), stores.gels.in_force(), len(stores.sets.list_sets())
    for path in posts(app):
        if path.startswith("/api/") and origin is None:
            continue  # a program, not a browser
        answer = client.post(path, headers={} if origin is None else {"Origin": origin})
        assert answer.status_code == 403, path
    assert (stores.sets.get_set(1), stores.gels.in_force(), len(stores.sets.list_sets())) == before


def test_no_form_is_taken_without_its_token(app, sample, stores):
    client = app.test_client()
    before = stores.sets.get_set(1), stores.gels.in_force(), len(stores.sets.list_sets())
    for path in posts(app):
        if not path.startswith("/api/"):  # which no form is sent to
            answer = client.post(path, headers={"Origin": "http://localhost"}, data={"token": "x"})
            assert answer.status_code == 403, path
    assert (stores.sets.get_set(1), stores.gels.in_force(), len(stores.sets.list_sets())) == before


def test_every_form_of_every_template_carries_the_token():
    written = [path.read_text(encoding="utf-8") for path in folder("templates").rglob("*.html")]
    forms = [text[at.start() :] for text in written for at in re.finditer('method="post"', text)]
    assert len(forms) > 35
    token = re.compile(r"\{\{-? token_field\(\) -?\}\}")
    assert [form[:80] for form in forms if not token.search(form.partition("</form>")[0])] == []


def test_the_token_differs_from_folder_to_folder_and_outlives_a_restart(app, tmp_path, closing):
    def token(at):
        return Page(at.test_client().get("/look")).fields["token"]

    assert len(token(app)) == 43  # 256 bits in base 64
    assert token(closing(create_app(tmp_path / "data"))) == token(app)
    assert token(closing(create_app(tmp_path / "other"))) != token(app)
    assert f'<meta name="token" content="{token(app)}">' in app.test_client().get("/").text


def test_a_mistake_of_ours_is_one_line_of_the_log_without_what_was_typed(app, client, caplog):
    def view():
        raise ValueError("Mia typed 5600")

    app.view_functions["quick.quick_check"] = view
    assert client.get("/").status_code == 500
    [line] = [record.getMessage() for record in caplog.records if record.levelname == "ERROR"]
    assert re.match(r"mistake in quick\.quick_check: ValueError at .*test_web_security\.py:\d+$", line)
    assert "flask/app.py:" in line, "a file of a library by its path there"
    assert "Mia" not in caplog.text and "Traceback" not in caplog.text


def test_the_log_names_a_file_by_its_path_in_the_package(app, client, caplog, monkeypatch):
    """Three files are called sources.py, and no folder of the machine's stands in the log."""

    def fail(*_):
        raise ZeroDivisionError

    monkeypatch.setattr("advisor.web.pages.sources.head_page.plan_for", fail)
    app.extensions["advisor"].sets.create_set(sample_set())
    assert client.get("/sources/1").status_code == 500
    [line] = [record.getMessage() for record in caplog.records if record.levelname == "ERROR"]
    assert "advisor/web/pages/sources/head_page.py:" in line
    assert not re.search(r"(?:^| )/", line) and str(Path.home()) not in line


def test_so_it_does_for_a_template_and_for_python_itself(app, client, caplog, monkeypatch):
    class Broken:
        def __html__(self):
            return json.loads("{")

    def render(name, **fields):
        return render_template(name, **{**fields, "target_words": Broken()})

    monkeypatch.setattr("advisor.web.pages.sources.quick.render_template", render)
    assert client.get("/").status_code == 500
    [line] = [record.getMessage() for record in caplog.records if record.levelname == "ERROR"]
    assert "templates/quick/page.html:" in line and "json/decoder.py:" in line
    assert not re.search(r"(?:^| )/", line)


def test_what_browsers_heed_on_this_machine_only_is_sent_there_only(tmp_path, closing):
    app = closing(open_app(tmp_path / "lan"))
    assert "Cross-Origin-Opener-Policy" not in Browser(app).get("/join").headers
    assert host(app).get("/join").headers["Cross-Origin-Opener-Policy"] == "same-origin"


def test_a_program_without_an_origin_may_ask_the_api(app):
    ask = {"target": {"cct": 5600}, "sources": [{"name": "A", "reading": {"cct": 5600, "duv": 0}}]}
    assert app.test_client().post("/api/v1/advice", json=ask).status_code == 200


@pytest.mark.parametrize(
    ("method", "path", "status"),
    [("GET", "/", 200), ("GET", "/nothing", 404), ("PUT", "/", 405), ("POST", "/sample", 302)],
)
def test_every_answer_carries_the_headers(client, method, path, status):
    answer = client.open(path, method=method)
    assert answer.status_code == status
    assert {k: answer.headers.get(k) for k in HEADERS} == HEADERS
    policy = answer.headers["Content-Security-Policy"]
    assert policy.startswith("default-src 'none'; ")
    assert "unsafe" not in policy
    assert "frame-ancestors 'none'" in policy
    assert answer.headers["Cache-Control"] == "no-store"


def test_refusals_carry_them_too(app):
    for answer in (app.test_client().post("/sample"), app.test_client().get("/", headers={"Host": "x"})):
        assert answer.status_code in (403, 421)
        assert "Content-Security-Policy" in answer.headers


@pytest.mark.parametrize("typed", [MARKUP, TEMPLATED, "=1+1", "\u202eesrever", "–––"])
def test_what_was_typed_is_shown_as_text_everywhere(client, get, post, stores, typed):
    post("/sets/new", {"name": typed, "target_cct": "5600", "target_locus": "daylight", "note": typed})
    source = {"name": typed, "kind": "unknown", "cct": "5600", "duv": "0", "note": typed}
    post("/sets/1/sources/new", source)
    post("/sets/1/edit", {**get("/sets/1/edit").fields, "target_locus": f"source:{typed}"})
    post("/gels/new", {"family": "Mine", "fraction": "full", "mired": "9", "note": typed, "on": "yes"})
    kept = stores.sets.get_set(1)
    shown = kept.name
    assert kept.target.source == kept.sources[0].source.name == shown
    paths = ["/sets", "/sets/1", "/sets/1/edit", "/sources/1", "/sources/1/edit", "/sets/1/paste"]
    pages = [Page(client.get(path)) for path in [*paths, "/gels/edit?name=Mine+full"]]
    for page in pages:
        assert "<script>alert" not in page.html
        assert "<b>" not in page.html
        assert page.status == 200
    assert all(shown in page.text for page in pages[:2])
    assert pages[2].fields["note"] == pages[4].fields["note"] == pages[6].fields["note"] == shown


@pytest.mark.parametrize(
    ("path", "data"),
    [
        (
            "/sets/new",
            {"name": MARKUP * 9, "target_cct": MARKUP, "target_locus": MARKUP, "tolerance_steps": MARKUP},
        ),
        (
            "/sets/1/sources/new",
            dict.fromkeys(("name", "kind", "cct", "duv", "x", "y", "lux", "keep"), MARKUP),
        ),
        ("/sources/1/reading", dict.fromkeys(("cct", "duv", "lux"), MARKUP)),
        ("/sets/1/paste", {"text": f"name,cct,duv\n{MARKUP},{MARKUP},0\n{MARKUP},5600,0\n"}),
        ("/gels/new", dict.fromkeys(("family", "fraction", "mired", "cc", "stops", "stock", "note"), MARKUP)),
        ("/gels/import", {"text": f"family,fraction\n{MARKUP},{MARKUP}\n"}),
    ],
)
def test_markup_in_a_refused_form_stays_text(sample, post, path, data):
    page = post(path, data)
    assert page.status in (200, 422)
    assert page.alerts
    assert "<script>alert" not in page.html
    assert "<b>" not in page.html


def test_markup_in_an_address_stays_text(sample, get):
    for path in (
        "/?cct={}&duv={}&kind={}&target_locus={}&lux={}",
        "/sources/1?gel={}&gel={}",
        "/sets/1?added={}",
    ):
        page = get(path.replace("{}", "%3Cb%3E%3Cscript%3Ealert(1)"))
        assert "<script>alert" not in page.html


def test_no_page_has_a_script_or_a_style_in_it_but_the_one_that_the_policy_names(sample, get):
    for path in ("/", "/sets/1", "/sources/1", "/sets/1/paste", "/gels", "/gels/new"):
        html = get(path).html
        assert "style=" not in html
        assert html.count("<style") == html.count("<style>") == 1  # test_first_paint.py holds it to its hash
        assert not re.search(r"<[^>]* on\w+=", html)
        assert html.count("<script") == html.count('<script type="module" src="/static/')
