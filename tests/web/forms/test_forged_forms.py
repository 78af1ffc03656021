"""A form decides what is wanted; what was read, predicted and confirmed is never taken from its fields."""

import json
import re
from collections.abc import Iterator

import pytest

from tests.fuzz.form_asks import Shown, changing, forms_on
from tests.web.page import Page
from tests.web.test_every_page import pages_at
from tests.web.working import CTO, alert_about

READ = {"cct": 5412.25, "duv": 0.0123}
"""A reading that nobody took: no page and no field of the data comes to these by itself."""
FORGED = {
    "found": READ,
    "earlier": [READ],
    "before": READ,
    "bare": READ,
    "predicted": {**READ, "uncertainty_steps": 0.5},
    "left": 0.0123,
    "stage": "confirmed",
}
WORK = {"gels": CTO, **FORGED}
ALSO = {
    **{name: json.dumps(value) for name, value in FORGED.items()},
    "work": json.dumps(WORK),
    "reading": json.dumps(READ),
    "readings": json.dumps([READ]),
    "source": json.dumps({"work": WORK, "reading": READ}),
    "work.found.cct": "5412.25",
    "work[found][cct]": "5412.25",
    "work_found_cct": "5412.25",
    "found_cct": "5412.25",
    "found_duv": "0.0123",
}
"""What is sent beside a form's own fields: the stored fields by all the names that they might have."""


@pytest.mark.parametrize("field", FORGED)
@pytest.mark.parametrize("action", ["plan", "hung"])
def test_a_decision_that_brings_its_own_reading_is_refused(sample, post, get, work, action, field):
    stack = json.dumps({"gels": CTO, field: FORGED[field]})
    page = post("/sources/1/work", {"action": action, "stack": stack})
    assert page.status == 422
    assert alert_about(page, field.replace("_", " "))
    assert work() is None
    assert "Confirmed" not in get("/sources/1").text


@pytest.mark.parametrize("action", ["plan", "hung", "confirm", "clear"])
def test_a_whole_record_in_its_place_is_refused_or_not_looked_at(act, post, get, work, action):
    act("hung", CTO)
    was = work()
    page = post("/sources/1/work", {"action": action, "stack": json.dumps(WORK), **ALSO})
    assert page.status == (422 if action in ("plan", "hung") else 200)
    now = work()
    if action in ("plan", "hung"):
        assert now == was
    else:
        assert now is None or (now.read_behind, now.read_elsewhere, now.read_day_before) == (None, [], None)
    assert "5 412" not in get("/sources/1").text and "5 410 K" not in get("/sources/1").text.split("Why")[0]


STALE = {"once", "tap", "revision", "version"}
"""Fields that keep a form from being sent twice, or over another's: what is sent here is to be looked at."""


def forged(shown: Shown) -> Iterator[dict[str, str]]:
    """Fill in a form as it stands, with what it does not ask for beside it and inside its own fields."""
    fields = {name: value for name, value in shown.fields if name not in STALE}
    yield {**ALSO, **fields}
    for name, value in fields.items():
        if value.startswith("{"):
            yield {**fields, **ALSO, name: json.dumps({**json.loads(value), **FORGED})}


def test_no_form_makes_a_record_of_what_is_posted(app, sample, act, client, stores):
    """Every form of every page, with all fields of a stored record beside its own."""
    act("hung", CTO, 1)
    act("plan", CTO, 3)
    forms = [
        (view, shown)
        for path, page in pages_at(app, client)
        for view, many in forms_on(path, page.html, app.url_map).items()
        for shown in many
    ]
    shown_for = {view for view, _ in forms}
    # Where a form is not on these pages now, it is sent without its own fields.
    forms += [
        (rule.endpoint, Shown(re.sub(r"<(?:\w+:)?\w+>", "1", rule.rule)))
        for rule in changing(app.url_map)
        if rule.endpoint not in shown_for
    ]
    # What takes something away comes last, so that the others have something to write to.
    forms.sort(key=lambda form: "delete" in form[0] or "remove" in form[0])
    assert len(shown_for) > 25
    for view, shown in forms:
        for fields in forged(shown):
            answer = client.post(shown.action, data=fields)
            assert answer.status_code in (200, 302, 303, 404, 409, 422), (view, answer.status_code)
    with app.extensions["database"].read() as conn:
        kept = "\n".join(conn.iterdump())
    assert "CTO 1/4" in kept  # the dump holds what was decided
    assert "5412.25" not in kept and "0.0123" not in kept
    for set_id in {line.id for line in stores.sets.list_sets()}:
        for page in (f"/sets/{set_id}", f"/sets/{set_id}/record"):
            assert "5 412" not in Page(client.get(page)).text
