"""What the tests of pull lists cut."""

from advisor.model import Opening


def panel(count=1):
    return [Opening(width=0.5, height=0.6, count=count)]
