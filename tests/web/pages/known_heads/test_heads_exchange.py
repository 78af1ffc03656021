"""Heads on pages out as a file and as a table, and back: seen first, then joined with those here."""

import csv
import io

import pytest

from advisor.model import KnownHead
from advisor.web.app import create_app
from tests.heads import PANEL, READINGS, keep_tested, read


@pytest.fixture
def head(stores):
    keep_tested(stores.heads)
    return 1


@pytest.fixture
def elsewhere(tmp_path, closing):
    """Another laptop."""
    return closing(create_app(tmp_path / "elsewhere"))


@pytest.fixture
def theirs(elsewhere):
    """The heads of the other laptop."""
    return elsewhere.extensions["advisor"].heads


def plain(text: str) -> str:
    return text.replace("\N{NO-BREAK SPACE}", " ")


def file_of(heads) -> str:
    return heads.exchange.export([one.stored.id for one in heads.list_heads()]).to_json()


def test_a_file_goes_out_and_comes_in_after_it_was_seen(head, client, theirs, stores, post):
    keep_tested(theirs.by("Bo"))
    theirs.add_head(KnownHead(name="Panel 4", group="Panels"))
    stores.heads.change_head(head, PANEL.model_copy(update={"note": "hums"}))
    page = post("/heads/import", {"text": file_of(theirs)})
    assert plain(page.heading) == "1 new head, 1 head to change"
    assert "Added to it: 1 test, 4 readings." in plain(page.text)
    assert "Note stays “hums”, not empty" in page.html
    assert "Nothing is changed yet" in page.text and len(stores.heads.list_heads()) == 1
    looked_at = page.html.partition('name="looked at" value="')[2].partition('"')[0]
    done = post("/heads/import", {"text": page.fields["text"], "looked at": looked_at})
    assert "Imported: 2 heads" in plain(done.text)
    assert [one.stored.head.name for one in stores.heads.list_heads()] == ["Panel 3", "Panel 4"]
    again = post("/heads/import", {"text": file_of(theirs)})
    assert plain(again.heading) == "Nothing in it is new" and "looked at" not in again.html


def test_the_newer_value_is_told_before_it_wins(head, theirs, stores, post):
    filed = stores.heads.exchange.export([head]).heads
    theirs.exchange.merge(filed, theirs.exchange.preview(filed))
    theirs.by("Bo").change_head(1, PANEL.model_copy(update={"name": "Panel 7", "group": ""}))
    page = post("/heads/import", {"text": file_of(theirs)})
    assert "The same as Panel 3 here" in page.text
    assert "Name: “Panel 7”, not “Panel 3”, changed" in page.text
    assert "Group: empty, not “Panels”, changed" in page.text


def test_what_changes_meanwhile_is_shown_anew(head, theirs, stores, post):
    theirs.add_head(KnownHead(name="Panel 4"))
    page = post("/heads/import", {"text": file_of(theirs)})
    looked_at = page.html.partition('name="looked at" value="')[2].partition('"')[0]
    stores.heads.add_head(KnownHead(name="panel 4", group="A"))
    theirs.change_head(1, KnownHead(name="Panel 4", note="hums"))
    page = post("/heads/import", {"text": file_of(theirs), "looked at": looked_at})
    assert plain(page.heading) == "1 head to change" and "Somebody changed a head meanwhile." in page.text
    assert stores.heads.get_head(2).head == KnownHead(name="panel 4", group="A")


def test_an_uploaded_file_is_looked_at_first(head, theirs, stores, post):
    theirs.add_head(KnownHead(name="Panel 4"))
    sent = file_of(theirs)
    page = post("/heads/import", file=sent.encode())
    assert plain(page.heading) == "1 new head" and page.fields["text"].strip() == sent.strip()
    assert '"Panel 4"' in page.fields["text"] and len(stores.heads.list_heads()) == 1


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "there is no text"),
        ("head,cct\nA,5600", "this looks like a table (CSV), not a file of heads"),
        ('{"advisor_set": 2}', "this is the record of a set: import it under Sets"),
        ('{"advisor_heads": 9}', "this comes from a newer advisor. Format 9, this one reads 1."),
        ('{"advisor_heads": 1, "heads": []}', "exported_at"),
    ],
)
def test_a_bad_file_is_refused_with_what_to_do(head, post, text, says):
    page = post("/heads/import", {"text": text})
    assert page.status == 422 and says in page.text
    assert "Allowed: " in page.text or "Give exported_at." in page.text
    assert page.heading.startswith("Not imported") and "Nothing was changed." in page.text
    assert page.fields["text"].strip() == text


@pytest.mark.parametrize(
    ("asked", "name", "heads"),
    [
        ("", "heads", ["Fresnel 1", "Panel 3"]),
        ("?head=1", "head-panel-3", ["Panel 3"]),
        ("?group=panels", "heads-panels", ["Panel 3"]),
    ],
)
def test_one_a_group_or_all_go_out(head, client, stores, asked, name, heads):
    stores.heads.add_head(KnownHead(name="Fresnel 1"))
    answer = client.get(f"/heads/export.json{asked}")
    assert answer.headers["Content-Disposition"] == f"attachment; filename={name}.json"
    assert [one["head"]["name"] for one in answer.json["heads"]] == heads
    answer = client.get(f"/heads/export.csv{asked}")
    assert answer.headers["Content-Disposition"] == f"attachment; filename={name}.csv"
    assert list(dict.fromkeys(row["head"] for row in rows_of(answer))) == heads


def rows_of(answer) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(answer.get_data(as_text=True).lstrip("\ufeff"))))


def test_the_table_holds_a_row_a_reading_as_it_was_typed(head, client, stores):
    rows = rows_of(client.get("/heads/export.csv"))
    assert len(rows) == len(READINGS)
    first = {k: v for k, v in rows[0].items() if v and not k.endswith("_at")}
    assert first == {
        "head": "Panel 3",
        "group": "Panels",
        "kind": "led-white",
        "distance_m": "3",
        "minutes_on": "20",
        "meter": "the old one",
        "level_percent": "100",
        "cct_k": "5813",
        "duv": "-0.0014",
        "lux": "2000",
        "ra": "96",
        "r9": "88",
        "watts": "120",
    }


def test_the_table_works_out_cct_and_duv_where_x_and_y_were_read(stores, client):
    """D65 at x 0.3127, y 0.3290 (CIE 15:2018): 6 504 K, +0.0032 above the Planckian locus."""
    _, test_id = keep_tested(stores.heads)
    stores.heads.take_reading(test_id, read(100, cct=None, duv=None, xy=(0.3127, 0.3290)))
    row = rows_of(client.get("/heads/export.csv"))[-1]
    assert (row["cct_k"], row["duv"], row["x"], row["y"]) == ("6504", "0.0032", "0.3127", "0.329")


def test_a_formula_in_a_name_stays_text(stores, client):
    stores.heads.add_head(KnownHead(name="=1+1"))
    assert rows_of(client.get("/heads/export.csv"))[0]["head"] == "'=1+1"


def test_a_head_or_group_that_is_not_there_is_said(head, get):
    assert get("/heads/export.json?head=9").status == 404
    assert get("/heads/export.json?head=x").status == 404
    page = get("/heads/export.csv?group=None")
    assert page.status == 422 and "no head is in a group &#39;None&#39;" in page.html


def test_the_pages_lead_there(head, get):
    html = get("/heads").html
    for address in ("/heads/import", "/heads/export.json", "/heads/export.csv?group=Panels"):
        assert f'href="{address}"' in html
    assert 'href="/heads/export.json?head=1"' in get("/heads/1").html


def test_a_head_that_was_removed_here_is_said_and_brought_back(head, stores, post):
    sent = file_of(stores.heads)
    stores.heads.delete_head(head)
    page = post("/heads/import", {"text": sent})
    assert plain(page.heading) == "1 head of it removed here"
    assert "Panel 3 is under removed heads." in page.text
    assert "looked at" not in page.html
    assert 'action="/heads/1/restore"' in page.html
    assert "Bring back: Panel 3" in page.text
    post("/heads/1/restore")
    assert plain(post("/heads/import", {"text": sent}).heading) == "Nothing in it is new"


def test_a_removed_head_is_said_beside_what_is_new(head, theirs, stores, post):
    keep_tested(theirs)
    theirs.add_head(KnownHead(name="Panel 4"))
    stores.heads.delete_head(head)
    page = post("/heads/import", {"text": file_of(theirs)})
    assert "Removed here. It stays under removed heads." in page.text
    assert 'action="/heads/1/restore"' not in page.html
