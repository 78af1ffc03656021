"""Keys of programs: made at the laptop, shown once, with a role, withdrawn; good for the API alone."""

import re

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.thorough import cases
from tests.web.phones import Browser, host, joined, open_app

ADVICE = {"target": {"cct": 5600}, "sources": [{"name": "A", "reading": {"cct": 5600, "duv": 0}}]}
READING = {"cct": 6100, "duv": 0.002}


@pytest.fixture
def app(tmp_path, closing):
    return closing(open_app(tmp_path / "data"))


@pytest.fixture
def laptop(app):
    return host(app)


def make(laptop, name="Desk", role="look"):
    answer = laptop.post("/host/keys", {"name": name, "role": role})
    assert answer.status_code == 200, answer.text
    return re.search(r'<p class="key">([\w-]+)</p>', answer.text)[1]


def ask(app, key, method="GET", path="/api/v1/gels", **more):
    if key:
        more["headers"] = {"Authorization": f"Bearer {key}"}
    return Browser(app).ask(method, path, **more)


def test_a_key_lets_a_program_in_until_it_is_withdrawn(app, laptop):
    key = make(laptop)
    assert len(key) >= 43  # 256 bits
    assert ask(app, key).status_code == 200
    assert ask(app, key, "POST", "/api/v1/advice", json=ADVICE).status_code == 200
    page = laptop.open("/host")
    assert "Desk" in page.text and key not in page.html
    [program] = [p for p in app.extensions["people"].phones.all() if p.program]
    laptop.post(f"/host/keys/{program.id}/revoke")
    assert ask(app, key).status_code == 401


@pytest.mark.parametrize("key", ["", "not-a-key"])
def test_without_a_known_key_there_is_no_answer_but_the_description(app, key):
    answer = ask(app, key)
    assert answer.status_code == 401
    assert answer.headers["WWW-Authenticate"] == "Bearer"
    assert "Authorization: Bearer" in answer.json["errors"][0]["allowed"]
    document = ask(app, key, path="/api/v1/openapi.json").json
    scheme = document["components"]["securitySchemes"]["key"]
    assert (scheme["type"], scheme["scheme"]) == ("http", "bearer")
    assert {"401", "403"} <= set(document["paths"]["/api/v1/gels"]["get"]["responses"])


def test_a_key_may_do_what_its_role_may(app, laptop):
    test = {"head": {"name": "Panel"}, "readings": [{"level": 100, "cct": 5813, "duv": -0.0014}]}
    assert ask(app, make(laptop), "POST", "/api/v1/heads", json=test).status_code == 403
    assert ask(app, make(laptop, "Desk 2", "change"), "POST", "/api/v1/heads", json=test).status_code == 200


def test_a_key_opens_no_page_and_is_no_cookie(app, laptop):
    key = make(laptop, role="change")
    assert ask(app, key, path="/sets").status_code == 303
    browser = Browser(app)
    browser.client.set_cookie("advisor_phone", key, domain="192.168.7.1")
    assert browser.get("/api/v1/gels").status_code == 401


def test_the_cookie_of_a_phone_is_no_key(app):
    phone = joined(app, "change")
    token = phone.client.get_cookie("advisor_phone", domain="192.168.7.1").value
    assert ask(app, token).status_code == 401


def test_a_key_needs_a_name_and_is_made_by_the_host_alone(app, laptop):
    answer = laptop.post("/host/keys", {"name": " ", "role": "look"})
    assert answer.status_code == 422 and 'class="key"' not in answer.text
    assert "there is no name" in answer.text
    assert joined(app, "change").post("/host/keys", {"name": "X", "role": "look"}).status_code == 403
    assert not [p for p in app.extensions["people"].phones.all() if p.program]


AROUND = st.sampled_from(
    ["", " ", "\t", "Bearer ", "Bearer", "bearer ", "Basic ", "Bearer Bearer ", ",", "\x00", "é"]
)


@given(data=st.data())
@settings(max_examples=cases(60), deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_nothing_but_a_whole_key_of_its_own_lets_in(app, laptop, data):
    """Of what the header says at random, a whole known key behind its scheme is let in, and all else not."""
    known = app.extensions.setdefault("the test's key", None) or make(laptop)
    app.extensions["the test's key"] = known
    part = data.draw(
        st.just(known)
        | st.text(st.characters(max_codepoint=255), max_size=60)
        | st.builds(lambda at: known[:at], st.integers(0, len(known) - 1))
        | st.builds(lambda at: known[:at] + "A" + known[at + 1 :], st.integers(0, len(known) - 1))
    )
    said = data.draw(AROUND) + part + data.draw(AROUND)
    said = "".join(c for c in said if c not in "\r\n")  # no server lets those through in a header
    answer = Browser(app).ask(
        "GET", "/api/v1/gels", headers={"Authorization": said.encode("latin-1").decode("latin-1")}
    )
    scheme, _, key = said.partition(" ")
    whole = scheme.casefold() == "bearer" and key.strip() == known
    assert answer.status_code == (200 if whole else 401), repr(said)
