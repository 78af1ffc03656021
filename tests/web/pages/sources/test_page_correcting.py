"""A stack that was read a little past the target, where a weak opposite sheet is what corrects it."""

import json

import pytest

from advisor.model import Kind, LightSet, Locus, Reading, Source, Target

WARM = Target(cct=4300, locus=Locus.PLANCKIAN, duv_offset=0.003)


@pytest.fixture
def hmi(stores):
    """Keep an invented set: a discharge head that CTO brings past 4 300 K, or leaves green."""
    source = Source(name="Courtyard", kind=Kind.DISCHARGE, reading=Reading(cct=5950, duv=0.0020, lux=3000))
    return stores.sets.create_set(LightSet(name="Arcade", target=WARM, sources=[source]))


@pytest.fixture
def hang_and_read(hmi, get, post, stores):
    def press(cct, duv, *gels):
        revision = stores.sets.get_source(1).revision
        stack = json.dumps({"gels": gels, "dial": None})
        post("/sources/1/work", {"revision": revision, "action": "hung", "stack": stack})
        fields = get("/sources/1").fields
        kept = {name: fields[name] for name in ("hung", "level", "modifier", "token") if name in fields}
        typed = {"cct": cct, "duv": duv, "lux": 1500, "behind": "hung"}
        return post("/sources/1/reading", {**kept, **typed}).text.partition("New reading")[0]

    return press


def test_a_weak_opposite_sheet_is_told_where_nothing_else_is_likely_close(hang_and_read):
    hang_and_read(4530, 0.0058, "CTO 1/4", "CTO 1/8")
    said = hang_and_read(4090, 0.0031, "CTO 1/2", "Minus green 1/8")
    assert "Add ⅛ CTB" in said and "close, 8 in 10" in said


def test_closest_there_is_is_not_said_while_it_is_not(hang_and_read):
    """At three layers no more goes on; the other stack that was read takes one."""
    hang_and_read(4530, 0.0058, "CTO 1/4", "CTO 1/8")
    hang_and_read(4090, 0.0031, "CTO 1/2", "Minus green 1/8")
    said = hang_and_read(4100, 0.0033, "CTO 1/4", "CTO 1/4", "Minus green 1/8")
    assert "Closest there is" not in said and "likely to come nearer" not in said
    assert "Hang ½ CTO ⅛ CTB" in said
    said = hang_and_read(4340, 0.0028, "CTO 1/2", "Minus green 1/8", "CTB 1/8")
    assert "Matched" in said


def test_a_sheet_that_is_not_on_the_truck_corrects_nothing(hang_and_read, stores, hmi):
    limits = stores.sets.get_set(hmi).limits.model_copy(update={"exclude_families": ["CTB"]})
    stores.sets.update_set(hmi, limits=limits)
    hang_and_read(4530, 0.0058, "CTO 1/4", "CTO 1/8")
    said = hang_and_read(4090, 0.0031, "CTO 1/2", "Minus green 1/8")
    assert "Add" not in said.partition("Now")[0] and "Hang ⅛ CTB" not in said


def test_nothing_is_listed_that_leads_farther_off_than_bare(hang_and_read, get):
    """A try that can be undone costs little: cooling gel stood on a head that has to become warmer."""
    hang_and_read(4530, 0.0058, "CTO 1/4", "CTO 1/8")
    hang_and_read(4090, 0.0031, "CTO 1/2", "Minus green 1/8")
    hang_and_read(4420, 0.0028, "CTO 1/2", "Minus green 1/8", "CTB 1/8")
    listed = get("/sources/1").text.partition(" Or ")[2].partition("Build a stack by hand")[0]
    assert "Hang ¼ CTO" in listed and "Hang ⅛ CTB" not in listed
