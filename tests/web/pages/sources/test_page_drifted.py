"""A head that reads otherwise behind its gels than bare: told to be read bare, until it was."""

from tests.web.working import CTO

ASKS = "To know, read it bare again. Until then this goes by what it reads now."


def test_who_read_it_bare_is_not_told_to(act, read):
    act("hung", CTO)
    page = read("4900", "0.0040", "700", behind="hung", hung="CTO 1/4")
    assert "The daylight drifted." in page.text
    assert ASKS in page.text
    page = read("6900", "0.0038", behind="bare")
    assert ASKS not in page.text
