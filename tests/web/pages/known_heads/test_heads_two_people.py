"""Two people at the form of one head: all changes are kept, and only what both changed is asked about."""

from tests.heads import PANEL, keep_tested


def test_what_two_people_changed_is_put_together(get, post, stores):
    keep_tested(stores.heads)
    mine = get("/heads/1/edit").fields
    stores.heads.by("Bo").change_head(1, PANEL.model_copy(update={"note": "hums"}))
    assert post("/heads/1/edit", {**mine, "group": "Soft"}).status == 200
    assert stores.heads.get_head(1).head == PANEL.model_copy(update={"note": "hums", "group": "Soft"})


def test_what_both_changed_is_asked_about_with_the_name(get, post, stores):
    keep_tested(stores.heads)
    mine = {**get("/heads/1/edit").fields, "note": "whistles", "group": "Soft"}
    stores.heads.by("Bo").change_head(1, PANEL.model_copy(update={"note": "hums"}))
    page = post("/heads/1/edit", mine)
    assert page.status == 409 and "Bo changed “Note” too" in page.text
    assert "s: hums" in page.text and "Use mine: whistles" in page.text
    assert stores.heads.get_head(1).head.group == "Panels"
    assert post("/heads/1/edit", {**page.fields, "pick_note": "theirs"}).status == 200
    assert stores.heads.get_head(1).head == PANEL.model_copy(update={"note": "hums", "group": "Soft"})
