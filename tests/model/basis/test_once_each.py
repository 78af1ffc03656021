"""What is worked out once for an object is not mixed up with what was said of another, and goes with it."""

import gc

from advisor.model import Reading
from advisor.model.basis.once_each import OnceEach


def reading(cct):
    return Reading(cct=cct, duv=0.0)


def test_it_is_asked_once_for_each_object():
    asked = []
    known = OnceEach(lambda lot: asked.extend(lot) or [one.cct for one in lot])
    first, alike, other = reading(3200), reading(3200), reading(5600)
    assert [known.of(one) for one in (first, alike, other, first, other)] == [3200, 3200, 5600, 3200, 5600]
    assert known.of_all([first, other, alike]) == [3200, 5600, 3200]
    assert len(asked) == 3 and asked[0] is first and asked[1] is alike and asked[2] is other


def test_what_is_gone_is_forgotten_and_whoever_comes_in_its_place_is_asked_anew():
    known = OnceEach(lambda lot: [one.cct for one in lot])
    for cct in range(3000, 3050):  # of which some have the same id
        assert known.of(reading(cct)) == cct
    gc.collect(0)
    assert len(known) == 0
