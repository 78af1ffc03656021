"""The data file goes away while pages are open: each page says so, nothing is acknowledged, no mistake."""

import pytest

from tests.store.file.test_in_place import delete, delete_folder, rename, rename_folder, replace, truncate
from tests.web.phones import Browser, host, joined, open_app
from tests.web.test_every_page import VALUES

WAYS = [delete, rename, delete_folder, rename_folder, replace, truncate]


@pytest.fixture
def app(tmp_path, closing):
    return closing(open_app(tmp_path / "data"))


def _asked(app):
    """Every method of every address but those of files that lie beside the program."""
    with app.test_request_context():
        for rule in sorted(app.url_map.iter_rules(), key=str):
            if rule.endpoint == "static":
                continue
            values = {**VALUES, "phone_id": 1, "number": "1", "name": "x", "key": "0"}
            _, path = rule.build({k: v for k, v in values.items() if k in rule.arguments}) or ("", "")
            for method in sorted(rule.methods & {"GET", "POST"}):
                yield method, path


@pytest.mark.parametrize("go", WAYS, ids=[go.__name__ for go in WAYS])
def test_no_page_makes_a_mistake_and_no_write_is_acknowledged(app, shipped, go):
    at_laptop, phone, stranger = host(app), joined(app, "change"), Browser(app)
    kept = app.extensions["database"]
    written = kept.commits
    go(kept.path)
    refused = 0
    for method, path in _asked(app):
        for browser in (at_laptop, phone, stranger):
            headers = {"Origin": browser.base} if method == "POST" else {}
            data = {"token": browser.token, "name": "Lobby", "cct": "5600", "duv": "0"}
            with browser.ask(
                method, path, headers=headers, data=data if method == "POST" else None
            ) as answer:
                assert answer.status_code != 500, (method, path)
                if answer.status_code == 503:
                    refused += 1
                    # It names folders, which are no stranger's business.
                    told = "while the advisor runs" in answer.text or "secrets.json cannot be" in answer.text
                    assert told is (browser is not stranger), (method, path)
    assert refused > 100
    assert kept.commits == written, "whatever was answered, nothing was written"


def test_a_form_is_refused_with_what_was_typed(app, shipped):
    phone = joined(app, "change")
    phone.open("/sets/1")
    rename(app.extensions["database"].path)
    answer = phone.post("/sources/2/reading", {"cct": "4321", "duv": "0.001"})
    assert answer.status_code == 503
    assert "Nothing is saved until it is back" in answer.text
    assert "4321" in answer.text.split("What you typed")[1]


def test_put_back_the_same_form_is_taken(app, shipped, stores):
    phone, path = joined(app, "change"), app.extensions["database"].path
    phone.open("/sets/1")
    rename(path)
    form = {"cct": "4321", "duv": "0.001", "once": "k" * 20}
    assert phone.post("/sources/2/reading", form).status_code == 503
    path.with_name("elsewhere").rename(path)
    before = len(stores.sets.readings_of(2))
    for _ in range(2):
        assert phone.post("/sources/2/reading", form).status_code in (302, 303)
    assert len(stores.sets.readings_of(2)) == before + 1


def test_who_was_put_out_is_told_nothing(app, shipped):
    phone = joined(app, "change")
    phones = app.extensions["people"].phones
    assert phone.get("/sets").status_code == 200
    phones.revoke(phones.all()[-1].id)
    assert phone.get("/sets").status_code == 303
    rename(app.extensions["database"].path)
    for _ in range(2):
        answer = phone.get("/sets")
        assert answer.status_code in (303, 503)
        assert "advisor.sqlite" not in answer.text
        Browser(app).join()  # which finds no data to join in, and what is known of phones is looked up anew
