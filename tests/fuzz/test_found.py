"""What generated requests found, each reduced to the least that shows it."""

from tests.bakery import bakery


def test_a_set_with_a_plan_shows_and_exports_its_record(app, client):
    set_id = app.extensions["advisor"].sets.create_set(bakery())
    planned = client.post("/sources/1/work", data={"action": "plan", "stack": '{"gels": ["CTO 1/4"]}'})
    assert planned.location == "/sources/1"
    page = client.get(f"/sets/{set_id}/record")
    assert (page.status_code, "planned: ¼ CTO" in page.get_data(as_text=True)) == (200, True)
    told = client.get(f"/sets/{set_id}/export.json").json["history"][-1]["what"]
    assert told == "Shop window: planned: CTO 1/4"
