"""A head's number is on every page, print and list, and stays when another head is removed."""

import csv
import io
import json
import re

import pytest


@pytest.fixture
def gone(sample, stores):
    """Remove the second of six heads."""
    stores.sets.delete_source(2)


@pytest.mark.parametrize(
    ("page", "found"),
    [
        ("/sets/1", r'<strong class="name">(\d+) '),
        ("/sets/1", r'<text class="number"[^>]*>(\d+)</text>'),
        ("/sets/1/sheet", r"<tr><td>(\d+)</td>"),
        ("/sets/1/tags", r'<p class="quiet">(\d+) · '),
        ("/sets/1/light", r'<tr><th scope="row">(\d+) '),
    ],
)
def test_the_others_keep_their_numbers(gone, get, page, found):
    numbers = re.findall(found, get(page).html)
    assert set(numbers) == {"1", "3", "4", "5", "6"}


def test_a_number_on_the_plane_leads_to_its_head(gone, get):
    links = dict(re.findall(r'<a href="/sources/(\d+)"\s+aria-label="(\d+), ', get("/sets/1").html))
    assert links and all(head == number for head, number in links.items())


def test_the_head_s_own_page_says_it(gone, get, stores):
    assert "No. 3" in get("/sources/3").text
    stores.sets.restore_source(2)
    assert "No. 2" in get("/sources/2").text


def test_the_pull_list_has_it_and_its_table(gone, get, client):
    page = get("/sets/1/pulls")
    assert re.search(r"<strong>[13456] \w", page.html)
    rows = list(csv.DictReader(io.StringIO(client.get("/sets/1/pulls.csv").text)))
    cut = {(r["number"], r["source"]) for r in rows if r["row"] == "cut"}
    told = dict(re.findall(r'<strong class="name">(\d+) ([^<]+)</strong>', get("/sets/1").html))
    assert cut and cut <= set(told.items())


def test_the_export_has_it(gone, client):
    sources = json.loads(client.get("/sets/1/export.json").text)["sources"]
    assert [s["number"] for s in sources] == [1, 2, 3, 4, 5, 6]
