"""Codes, how often they may be wrong, and the addresses at which they are typed."""

import json
import re
import socket
import stat

import ifaddr
import pytest

from advisor.store import StoreFault
from advisor.web.access import lan
from advisor.web.access.lan import Lan
from advisor.web.access.rate_limit import Rates
from advisor.web.access.signing import Secrets

LETTERS = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"
"""Crockford's 32: no I, L, O and U."""


class TestSecrets:
    def test_only_their_owner_reads_them(self, tmp_path):
        Secrets(tmp_path)
        assert stat.S_IMODE((tmp_path / "secrets.json").stat().st_mode) == 0o600
        (tmp_path / "secrets.json").chmod(0o644)
        Secrets(tmp_path)
        assert stat.S_IMODE((tmp_path / "secrets.json").stat().st_mode) == 0o600

    def test_they_outlive_a_restart(self, tmp_path):
        first, second = Secrets(tmp_path), Secrets(tmp_path)
        assert (first.key, first.codes) == (second.key, second.codes)

    def test_they_are_long_enough(self, tmp_path):
        made = Secrets(tmp_path)
        assert len(made.key) == 32
        assert len(made.codes.scanned) * 6 >= 128  # base 64
        assert len(LETTERS) == 32
        assert not set("ILOU") & set(LETTERS)
        assert re.fullmatch(f"[{LETTERS}]{{4}}-[{LETTERS}]{{4}}", made.codes.shown)

    def test_a_new_code_ends_the_old_one_and_keeps_the_key(self, tmp_path):
        made = Secrets(tmp_path)
        key, old = made.key, made.codes
        new = made.renew()
        assert not new.fits(old.typed) and not new.fits(old.scanned)
        assert (Secrets(tmp_path).key, Secrets(tmp_path).codes) == (key, new)

    def test_the_code_is_taken_as_people_type_it(self, tmp_path):
        (tmp_path / "secrets.json").write_text(
            json.dumps({"key": "ab" * 32, "codes": {"scanned": "s" * 22, "typed": "1A0B2C3D"}})
        )
        codes = Secrets(tmp_path).codes
        for typed in ("1A0B-2C3D", "1a0b2c3d", " 1a0b 2c3d ", "IAOB-2C3D", "laob2c3d", "s" * 22):
            assert codes.fits(typed), typed
        for typed in ("", "1A0B-2C3", "1A0B-2C3DD", "1A0B-2C3E", "s" * 21, "ẞ"):
            assert not codes.fits(typed), typed

    @pytest.mark.parametrize(
        "text", ["", "{}", "[1]", '{"key": "ab", "codes": {"scanned": "s", "typed": "t"}}']
    )
    def test_a_damaged_file_is_left_and_told(self, tmp_path, text):
        (tmp_path / "secrets.json").write_text(text)
        with pytest.raises(StoreFault, match=r"secrets\.json is damaged, .* Delete it"):
            Secrets(tmp_path)
        assert (tmp_path / "secrets.json").read_text() == text

    def test_where_they_cannot_be_kept_they_last_as_long_as_the_process(self, tmp_path, caplog):
        made = Secrets(tmp_path / "missing")
        assert made.codes.fits(made.codes.typed)
        assert "cannot be used" in caplog.text
        with pytest.raises(StoreFault, match="cannot be used"):
            made.renew()


class TestRates:
    @pytest.fixture
    def time(self):
        return [1000.0]

    @pytest.fixture
    def rates(self, time):
        return Rates(lambda: time[0])

    def test_the_sixth_in_a_minute_waits_for_the_first_to_be_a_minute_old(self, rates, time):
        for _ in range(5):
            assert rates.admit("a") == 0
            time[0] += 5
        assert rates.admit("a") == 35
        assert rates.admit("b") == 0
        time[0] += 35
        assert rates.admit("a") == 0

    def test_after_a_hundred_in_an_hour_nobody_is_admitted_until_one_is_an_hour_old(self, rates, time):
        for i in range(100):
            assert rates.admit(str(i)) == 0
            time[0] += 10
        assert rates.closed() == rates.admit("new") == 2600
        time[0] += 2600
        assert rates.closed() == rates.admit("new") == 0

    def test_what_was_right_does_not_count(self, rates):
        for _ in range(20):
            assert rates.admit("a") == 0
            rates.forgive("a")

    def test_a_new_code_begins_with_a_clean_sheet(self, rates):
        assert [rates.admit("a") for _ in range(6)][-1] > 0
        rates.forget()
        assert rates.admit("a") == 0


class TestAddresses:
    def test_a_phone_gets_none_that_it_cannot_open(self, monkeypatch):
        found = ["127.0.0.1", "10.0.0.7", "10.0.0.7", "fe80::1%eth0", "fe80::1", "fd00::2", "::1", "0.0.0.0"]
        monkeypatch.setattr(lan, "_outward", lambda: iter(found))
        monkeypatch.setattr(lan, "_of_interfaces", lambda: iter(["10.42.0.1", "not an address"]))
        assert lan.own_addresses() == ["10.0.0.7", "fd00::2", "10.42.0.1"]

    def test_the_names_are_the_addresses_the_machines_own_and_loopback(self, monkeypatch):
        monkeypatch.setattr(lan, "own_addresses", lambda: ["10.0.0.7", "fd00::2"])
        monkeypatch.setattr(lan.socket, "gethostname", lambda: "Truck.example")
        place = Lan(8080)
        assert place.hosts() == {
            "10.0.0.7", "[fd00::2]", "truck.example", "truck.local", "127.0.0.1", "localhost", "[::1]"
        }  # fmt: skip
        assert place.urls() == ["http://10.0.0.7:8080/", "http://[fd00::2]:8080/"]
        assert Lan(8443, secure=True).urls()[0] == "https://10.0.0.7:8443/"

    def test_without_an_address_the_name_is_left(self, monkeypatch):
        monkeypatch.setattr(lan, "own_addresses", list)
        monkeypatch.setattr(lan.socket, "gethostname", lambda: "Truck.example")
        assert Lan(8080).urls() == ["http://truck.local:8080/"]

    def test_a_network_that_changes_is_followed(self, monkeypatch):
        time = [0.0]
        monkeypatch.setattr(lan.time, "monotonic", lambda: time[0])
        found = ["10.0.0.7"]
        monkeypatch.setattr(lan, "own_addresses", lambda: list(found))
        place = Lan(8080)
        assert place.knows("10.0.0.7")
        found[:] = ["10.0.0.9"]
        time[0] += 6
        assert place.knows("10.0.0.9")
        assert not place.knows("10.0.0.8")
        assert not place.knows("10.0.0.7")

    def test_names_that_are_known_are_not_looked_up_again(self, monkeypatch):
        monkeypatch.setattr(lan, "own_addresses", lambda: ["10.0.0.7"])
        place = Lan(8080)
        assert place.knows("10.0.0.7")
        monkeypatch.setattr(lan, "own_addresses", None)
        monkeypatch.setattr(lan.time, "monotonic", lambda: 1e12)
        assert place.knows("10.0.0.7") and place.knows("localhost")

    def test_this_machine_finds_its_own(self):
        for address in lan.own_addresses():
            assert not lan.is_loopback(address)
            with socket.socket(socket.AF_INET6 if ":" in address else socket.AF_INET) as own:
                own.bind((address, 0))  # no other address can be had

    def test_every_interface_is_asked_by_both_kinds_of_address(self, monkeypatch):
        def adapter(*ips):
            return ifaddr.Adapter("x", "x", [ifaddr.IP(ip, 24, "x") for ip in ips])

        found = [adapter("127.0.0.1", ("::1", 0, 0)), adapter("10.42.0.1", ("fd00::2", 0, 3)), adapter()]
        monkeypatch.setattr(ifaddr, "get_adapters", lambda: found)
        monkeypatch.setattr(lan, "_outward", lambda: iter([]))
        assert lan.own_addresses() == ["10.42.0.1", "fd00::2"]

    def test_the_loopback_of_this_machine_is_among_what_is_found(self):
        assert "127.0.0.1" in list(lan._of_interfaces())

    @pytest.mark.parametrize("address", ["127.0.0.1", "127.1.2.3", "::1", "::ffff:127.0.0.1"])
    def test_loopback_is_known(self, address):
        assert lan.is_loopback(address)

    @pytest.mark.parametrize("address", ["10.0.0.7", "::ffff:10.0.0.7", "fd00::1", "", None, "localhost"])
    def test_what_is_not_loopback_is_not(self, address):
        assert not lan.is_loopback(address)
