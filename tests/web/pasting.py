"""What the tests of pasting look for."""


def names(stores):
    return [s.source.name for s in stores.sets.get_set(1).sources][6:]
