"""What `--version` says: of a tag, a commit, changed files; without git; in a source package and a wheel."""

import os
import re
import shutil
import subprocess
import sys
import tarfile
import zipfile
from pathlib import Path

import pytest

from advisor import version as asked
from advisor.version import NUMBER, of_folder

ROOT = Path(__file__).parents[1]
NOON = "2026-05-04T12:30:00+02:00"


def git(folder, *words):
    """Run git as a person without settings would, at a time that is known."""
    kept = {k: v for k, v in os.environ.items() if not k.startswith("GIT_")}
    fixed = {"GIT_COMMITTER_DATE": NOON, "GIT_AUTHOR_DATE": NOON, "GIT_CONFIG_GLOBAL": os.devnull}
    who = ("-c", "user.name=Mia", "-c", "user.email=mia@example.org", "-c", "tag.gpgSign=false")
    command = ["git", *who, "-C", str(folder), *words]
    return subprocess.run(
        command, check=True, capture_output=True, text=True, env={**kept, **fixed}
    ).stdout.strip()


@pytest.fixture
def folder(tmp_path):
    """A folder with something in each of those that travel."""
    for name in ("advisor", "templates", "static", "gels"):
        (tmp_path / "work" / name).mkdir(parents=True)
        (tmp_path / "work" / name / "file").write_text(name)
    return tmp_path / "work"


@pytest.fixture
def checkout(folder):
    git(folder, "init", "--quiet")
    git(folder, "add", ".")
    git(folder, "commit", "--quiet", "--message", "First")
    return folder


class TestCheckout:
    def test_a_commit_is_told_by_its_time_in_utc_and_its_number(self, checkout):
        number = git(checkout, "rev-parse", "--short", "HEAD")
        assert of_folder(checkout) == f"{NUMBER}+202605041030.g{number}"

    def test_a_release_is_told_by_its_tag(self, checkout):
        git(checkout, "tag", "v1.4.0")
        assert of_folder(checkout) == "1.4.0"
        git(checkout, "commit", "--quiet", "--allow-empty", "--message", "Second")
        assert of_folder(checkout).startswith(f"{NUMBER}+202605041030.g")

    @pytest.mark.parametrize("tag", ["v1.4.x", "v1", "1.4.0", "v1.4.0-rc1", "vintage"])
    def test_a_tag_is_a_release_only_where_it_is_written_as_one(self, checkout, tag):
        git(checkout, "tag", tag)
        assert of_folder(checkout).startswith("1" if tag == "v1" else f"{NUMBER}+2026")

    @pytest.mark.parametrize("name", ["advisor/file", "static/new.css"])
    def test_changed_files_are_told_apart_also_from_a_release(self, checkout, name):
        git(checkout, "tag", "v1.4.0")
        (checkout / "notes.txt").write_text("beside what travels")
        assert of_folder(checkout) == "1.4.0"
        seen = set()
        for text in ("one", "two"):
            (checkout / name).write_text(text)
            seen.add(of_folder(checkout))
        assert len(seen) == 2
        for each in seen:
            assert re.fullmatch(rf"{re.escape(NUMBER)}\+202605041030\.g[0-9a-f]+\.[0-9a-f]{{12}}", each)

    def test_a_hook_of_another_repository_leads_nowhere_else(self, checkout, tmp_path, monkeypatch):
        wanted = of_folder(checkout)
        monkeypatch.setenv("GIT_DIR", str(tmp_path / "other"))
        assert of_folder(checkout) == wanted

    def test_where_git_is_not_there_the_files_tell(self, checkout, monkeypatch, tmp_path):
        monkeypatch.setenv("PATH", str(tmp_path))
        assert re.fullmatch(rf"{re.escape(NUMBER)}\+files\.[0-9a-f]{{12}}", of_folder(checkout))

    def test_where_git_does_not_answer_they_do_too(self, folder):
        (folder / ".git").write_text("gitdir: nowhere")
        assert of_folder(folder).startswith(f"{NUMBER}+files.")


class TestFolder:
    def test_without_git_it_is_told_by_what_its_files_hold(self, folder):
        first = of_folder(folder)
        assert re.fullmatch(rf"{re.escape(NUMBER)}\+files\.[0-9a-f]{{12}}", first)
        (folder / "gels" / "file").write_text("changed")
        assert of_folder(folder) != first

    def test_that_it_lies_in_somebody_elses_repository_changes_nothing(self, folder):
        alone = of_folder(folder)
        git(folder.parent, "init", "--quiet")
        git(folder.parent, "commit", "--quiet", "--allow-empty", "--message", "Another's")
        assert of_folder(folder) == alone

    def test_a_source_package_says_what_it_was_made_of(self, folder):
        (folder / "PKG-INFO").write_text("Metadata-Version: 2.4\nName: gel-advisor\nVersion: 1.4.0+gabc\n")
        assert of_folder(folder) == "1.4.0+gabc"


def test_a_source_package_and_a_wheel_keep_it_and_need_no_git(tmp_path):
    """The real build, of a copy of this folder: what was packed says what the folder said."""
    copy = tmp_path / "copy"
    copy.mkdir()
    for path in ROOT.iterdir():
        if path.name in {"advisor", "templates", "static", "gels"}:
            shutil.copytree(path, copy / path.name)
        elif path.is_file() and path.name != ".git":
            shutil.copy(path, copy)
    build = [sys.executable, "-m", "hatchling", "build", "-t", "sdist", "-t", "wheel", "-d", str(tmp_path)]
    subprocess.run(build, cwd=copy, check=True, capture_output=True)
    wanted = of_folder(copy)
    assert wanted.startswith(f"{NUMBER}+files.")
    [packed] = tmp_path.glob("*.tar.gz")
    (tmp_path / "unpacked").mkdir()
    with tarfile.open(packed) as opened:
        [stated] = [m for m in opened.getmembers() if m.name.endswith("/PKG-INFO")]
        (tmp_path / "unpacked" / "PKG-INFO").write_bytes(opened.extractfile(stated).read())
    assert of_folder(tmp_path / "unpacked") == wanted
    [wheel] = tmp_path.glob("*.whl")
    with zipfile.ZipFile(wheel) as opened:
        opened.extractall(tmp_path / "installed")
    environment = {**os.environ, "PYTHONPATH": str(tmp_path / "installed"), "PATH": str(tmp_path / "no git")}
    command = [sys.executable, "-P", "-m", "advisor", "--version"]
    ended = subprocess.run(command, cwd=tmp_path, env=environment, capture_output=True, text=True)
    assert (ended.returncode, ended.stderr) == (0, "")
    assert ended.stdout.startswith(f"advisor {wanted} (")


def test_the_number_has_the_newest_heading_of_the_changelog():
    changelog = (ROOT / ".docs" / "changelog.md").read_text(encoding="utf-8")
    assert re.findall(r"^## (\S+)$", changelog, re.MULTILINE)[0] == NUMBER


def test_this_checkout_has_one(monkeypatch):
    asked.version.cache_clear()
    assert asked.version() == of_folder(ROOT)
    assert re.match(r"\d+\.\d+\.\d+", asked.version())
