"""`advisor invite`: links for phones, and why there is none."""

import re

from advisor import cli
from advisor.store.file.lock import FolderLock


class TestInvite:
    def test_without_a_server_it_says_to_start_one(self, tmp_path, capsys):
        for data in (tmp_path, tmp_path / "missing"):
            assert cli.main(["--data", str(data), "invite"]) == 1
            said = capsys.readouterr()
            assert said.out == ""
            assert said.err == (
                f"advisor: No advisor runs over the data folder {data}. Start it with --lan, then run this "
                "again; or give the folder that it runs over with --data.\n"
            )
            assert not (data / "invites").exists()

    def test_beside_one_that_no_phone_reaches_it_says_so(self, tmp_path, capsys):
        with FolderLock(tmp_path) as lock:
            lock.tell("http://127.0.0.1:8080/")
            assert cli.main(["--data", str(tmp_path), "invite"]) == 1
        assert "is open to this machine alone. Start it with --lan" in capsys.readouterr().err

    def test_it_names_every_address_and_over_tls_warns_of_nothing(self, tmp_path, monkeypatch, capsys):
        monkeypatch.setattr("advisor.web.access.lan.own_addresses", lambda: ["10.0.0.7", "fd00::2"])
        with FolderLock(tmp_path) as lock:
            lock.tell("https://127.0.0.1:8443/", port=8443, secure=True, bind=None)
            assert cli.main(["--data", str(tmp_path), "invite"]) == 0
        said = capsys.readouterr().out
        assert re.search(
            r"^  https://10\.0\.0\.7:8443/join/([\w-]{22})\n  or https://\[fd00::2\]:8443/join/\1\n",
            said,
            re.M,
        )
        assert "plain HTTP" not in said

    def test_what_cannot_be_is_said(self, tmp_path, capsys):
        (tmp_path / "invites").write_text("a file")
        with FolderLock(tmp_path) as lock:
            lock.tell("http://127.0.0.1:8080/", port=8080)
            assert cli.main(["--data", str(tmp_path), "invite"]) == 1
        assert cli.main(["--data", str(tmp_path), "invite", "--withdraw"]) == 1
        no_link, unread = capsys.readouterr().err.splitlines()
        assert no_link.startswith("advisor: No link was made, since ")
        assert unread.startswith(f"advisor: {tmp_path / 'invites'} cannot be read: ")
