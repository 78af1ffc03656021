"""Memory is given back to the system after a large request, and after no other."""

from advisor.web import memory

LARGE = 100_000


def test_it_is_given_back_after_a_large_request_alone(client, monkeypatch):
    given = []
    monkeypatch.setattr(memory, "_trim", lambda: given.append)
    client.post("/gels/import", data={"text": "x"}).close()
    client.get("/sets").close()
    assert given == []
    client.post("/gels/import", data={"text": "x" * LARGE}).close()
    assert given == [0]


def test_another_c_library_is_let_be(monkeypatch):
    monkeypatch.setattr(memory.sys, "platform", "darwin")
    assert memory._library() is None
