"""Sets of words, written as text that a person can read and add to."""


def words(text: str) -> frozenset[str]:
    """Return the words of a text that spaces part."""
    return frozenset(text.split())
