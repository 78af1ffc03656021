"""A reading that does not fit is asked about while the head still stands there."""

import pytest

from tests.heads import PANEL, TEST, read

FULL = {"cct": 5813, "duv": -0.0092, "lux": 2000}


@pytest.fixture
def begun(stores):
    test_id = stores.heads.begin_test(stores.heads.add_head(PANEL), TEST)
    stores.heads.take_reading(test_id, read(100, **FULL))
    return test_id


def readings(stores, test_id):
    return stores.heads.get_test(test_id).readings


def test_a_reading_that_does_not_fit_is_not_kept_before_it_was_asked_about(begun, stores, post):
    page = post(f"/tests/{begun}?at=1", {"cct": "5800", "duv": "0.0092", "lux": "1000"})
    assert page.status == 422
    assert "Duv +0.0092 does not fit: \u22120.0092?" in page.text
    assert (page.fields["cct"], page.fields["lux"]) == ("5800", "1000")
    assert 1 not in readings(stores, begun)


def test_one_tap_says_that_it_is_right(begun, stores, post):
    post(f"/tests/{begun}?at=1", {"cct": "5800", "duv": "0.0092", "lux": "1000", "sure": "yes"})
    assert readings(stores, begun)[1].reading.duv == 0.0092


def test_one_tap_uses_what_was_meant(begun, stores, client, post):
    page = client.post(f"/tests/{begun}?at=1", data={"cct": "5800", "duv": "0.0092", "lux": "1000"})
    form = page.text.partition("Use \u22120.0092")[0].rpartition("<form")[2]
    assert 'name="duv" value="\u22120.0092"' in form
    assert 'name="sure" value="yes"' in form
    post(f"/tests/{begun}?at=1", {"cct": "5800", "duv": "\u22120.0092", "lux": "1000", "sure": "yes"})
    assert readings(stores, begun)[1].reading.duv == -0.0092


def test_a_reading_that_is_typed_anew_is_asked_about_anew(begun, stores, post):
    post(f"/tests/{begun}?at=1", {"cct": "5800", "duv": "0.0092", "lux": "1000"})
    page = post(f"/tests/{begun}?at=1", {"cct": "4300", "duv": "-0.0092", "lux": "1000"})
    assert "This does not fit: " in page.text
    post(f"/tests/{begun}?at=1", {"cct": "5800", "duv": "-0.009", "lux": "1000"})
    assert readings(stores, begun)[1].reading.cct == 5800


def test_a_reading_that_a_slow_phone_sends_is_asked_about(begun, stores, post):
    """A script always says when it was typed and when it was sent: some time apart, also with a link."""
    sent = {"taken": "1700000000000", "sent": "1700000004000"}
    assert post(f"/tests/{begun}?at=1", {"cct": "4300", "duv": "0", **sent}).status == 422
    assert 1 not in readings(stores, begun)


def test_a_reading_that_comes_in_late_is_kept(begun, stores, post):
    late = {"taken": "1700000000000", "sent": "1700003600000"}
    post(f"/tests/{begun}?at=1", {"cct": "4300", "duv": "0", **late})
    assert readings(stores, begun)[1].reading.cct == 4300


def test_next_over_a_spectrum_that_is_there_keeps_it(begun, stores, post):
    spectrum = {"start": 380, "step": 10, "values": [1.0] * 41}
    stores.heads.take_reading(begun, read(50, cct=None, duv=None, spectrum=spectrum))
    post(f"/tests/{begun}?at=1", {"cct": "", "duv": "", "lux": ""})
    assert readings(stores, begun)[1].reading.spectrum is not None
