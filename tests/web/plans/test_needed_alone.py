"""Pages of a set are the same whether all readings are kept in memory, or those alone that are needed."""

import re

import pytest

from advisor.model import Reading
from advisor.store.tables import needed_rows

PAGES = ("/sets/1", "/sources/1", "/sources/2", "/sets/1/compare", "/sets/1/light", "/api/v1/sets/1")
TAP = re.compile(r'name="tap" value="[^"]*"')
"""What tells one form from another is another one each time."""


@pytest.fixture
def busy(client, sample):
    """The sample set, of which each source was read again and again."""
    sets = client.application.extensions["advisor"].sets
    for stored in sets.get_set(1).sources:
        cct = stored.source.reading.cct or 4000
        for k in range(6):
            sets.add_reading(stored.id, Reading(cct=cct + 10 * (k % 4), duv=0.002, lux=500 + k % 2, level=50))
            sets.add_reading(stored.id, stored.source.reading)
    return sets


def test_they_are(client, busy, monkeypatch):
    monkeypatch.setattr(needed_rows, "MANY", 0)
    monkeypatch.setattr("advisor.store.tables.rows.MANY", 0)
    needed, found = busy._kept.needed, []
    for which in (None, needed):
        busy._kept.needed = which
        busy._kept._kept.clear()
        counts = [len(stored.source.readings) for stored in busy.get_set(1).sources]
        found.append((counts, [TAP.sub("", client.get(path).text) for path in PAGES]))
    assert found[0][1] == found[1][1]
    assert all(few < every for few, every in zip(found[1][0], found[0][0], strict=True))
