"""A source's own tolerance, its limit over the key, and the tint of the set's target."""

import re

import pytest

from tests.web.page import beside


class TestTolerance:
    @pytest.mark.parametrize(
        ("typed", "steps"),
        # At 5 600 K daylight, by CIE 1976 u′v′: see tests/advice/wording/test_tolerance.py
        [("1/8 CTO", "9"), ("¼ green", "8.5"), ("3", "3"), ("2,5 steps", "2.5")],
    )
    def test_of_a_source(self, sample, get, post, typed, steps):
        post("/sources/5/edit", get("/sources/5/edit").fields | {"tolerance_steps": typed})
        assert get("/sources/5/edit").fields["tolerance_steps"] == steps

    @pytest.mark.parametrize(("typed", "steps"), [("1/8 CTO", "9"), ("¼ green", "8.5"), ("3", "3")])
    def test_of_a_set(self, sample, get, post, typed, steps):
        post("/sets/1/edit", get("/sets/1/edit").fields | {"tolerance_steps": typed})
        assert get("/sets/1/edit").fields["tolerance_steps"] == steps

    def test_a_fraction_too_wide_to_be_a_tolerance_is_refused_with_the_range(self, sample, get, post):
        page = post("/sources/5/edit", get("/sources/5/edit").fields | {"tolerance_steps": "full ctb"})
        assert page.status == 422
        assert page.fields["tolerance_steps"] == "full ctb"
        assert "0.1 to 50 steps" in beside(page, "tolerance_steps")

    def test_of_a_set_that_is_refused(self, sample, get, post, stores):
        page = post(
            "/sets/1/edit", get("/sets/1/edit").fields | {"tolerance_steps": "1/3 CTO", "name": "Noon"}
        )
        assert page.status == 422
        assert "is not a gel fraction" in beside(page, "tolerance_steps")
        assert (page.fields["tolerance_steps"], page.fields["name"]) == ("1/3 CTO", "Noon")

    def test_of_a_new_source(self, sample, post, stores):
        lamp = {
            "name": "Desk lamp",
            "kind": "tungsten",
            "cct": "2900",
            "duv": "0",
            "shot": "yes",
            "role": "other",
        }
        post("/sets/1/sources/new", {**lamp, "tolerance_steps": "⅛ CTO"})
        assert stores.sets.get_set(1).sources[-1].source.tolerance_steps == 9.0


class TestTint:
    def test_the_cameras_tint_is_said_with_the_target(self, sample, get, post):
        post("/sets/1/edit", get("/sets/1/edit").fields | {"target_tint": "3,5"})
        assert "5 600 K daylight, camera taking out 3.5 CC of green" in get("/sets/1").text
        assert get("/sets/1/edit").fields["target_tint"] == "3.5"

    @pytest.mark.parametrize("typed", ["60", "green"])
    def test_a_wrong_one_is_given_back(self, sample, get, post, typed):
        page = post("/sets/1/edit", get("/sets/1/edit").fields | {"target_tint": typed})
        assert page.status == 422
        assert "−50 to 50 CC" in beside(page, "target_tint")
        assert page.fields["target_tint"] == typed


class TestOverKey:
    def test_nd_hangs_where_a_limit_asks_for_it(self, sample, get, post):
        assert "ND" not in get("/sets/1").text
        post("/sources/2/edit", get("/sources/2/edit").fields | {"role": "key", "on_subject": "yes"})
        post("/sources/1/edit", get("/sources/1/edit").fields | {"over_key": "-2"})
        answer = get("/sources/1").text.split("New reading")[0]
        assert re.search(r"Hang .*¼ CTO.*ND \d\.\d", answer)


def test_where_nothing_comes_within_it_the_head_says_so(stage, get, change):
    change(1, tolerance_steps=20)
    assert not re.search(_NOT_NEAR, get("/sources/1").text)
    change(1, tolerance_steps=0.1)
    assert re.search(_NOT_NEAR, get("/sources/1").text)


_NOT_NEAR = r"Closest there is\.|No stack here comes close\."
