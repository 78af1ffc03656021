"""Which build this is: a release by its tag, else its number with the commit, or with what its files hold.

An installed package has its version written down. The build asks here (pyproject.toml), and so does a
checkout that is run as it lies: only these two may call git. The build loads this file alone, where it is no
part of its package, so it imports nothing of the advisor's.
"""

import os
import re
import subprocess
from functools import cache
from hashlib import sha256
from importlib import metadata
from pathlib import Path

NUMBER = "0.2.0"
"""The release that this tree is. Where work on the next one begins, that one's, such as “0.3.0.dev0”. It has
the newest heading in the changelog."""
_ROOT = Path(__file__).parents[1]
_SHIPPED = ("advisor", "templates", "static", "gels")
"""The folders of a checkout that travel in a wheel."""
_RELEASE = re.compile(r"v(\d+(?:\.\d+)*(?:(?:a|b|rc)\d+)?)", re.ASCII)
_STATED = re.compile(r"^Version: (\S+)$", re.MULTILINE)


@cache
def version() -> str:
    """Return the version of this advisor."""
    if (_ROOT / "advisor" / "templates").is_dir():  # they travel inside a wheel
        return metadata.version("gel-advisor")
    return of_folder(_ROOT)


def of_folder(root: Path) -> str:
    """Return the version of the checkout, the source package or the plain folder `root`, as PEP 440 has it.

    “0.2.0” at the tag v0.2.0. Else “0.2.0+202611271827.gc625c2e”: the commit's time in UTC, and which it
    is; behind that a fingerprint of the files, where they were changed since, or there is nothing else. A
    later commit counts as newer.
    """
    if (root / ".git").exists() and (found := _of_commit(root)):
        return found
    stated = root / "PKG-INFO"  # a source package says what it was made of
    if stated.is_file() and (says := _STATED.search(stated.read_text(encoding="utf-8"))):
        return says[1]
    return f"{NUMBER}+files.{_files(root)}"


def _of_commit(root: Path) -> str | None:
    """Return the version by the commit; None where git is not there, or does not answer."""
    commit = _git(
        root, "log", "-1", "--no-show-signature", "--format=%cd.g%h", "--date=format-local:%Y%m%d%H%M"
    )
    changed = _git(root, "status", "--porcelain", "--", *_SHIPPED)
    if commit is None or changed is None:
        return None
    tag = _git(root, "describe", "--tags", "--exact-match", "--match", "v[0-9]*")
    release = _RELEASE.fullmatch(tag or "")
    if release and not changed:
        return release[1]
    return f"{NUMBER}+{commit}{'.' + _files(root) if changed else ''}"


def _git(root: Path, *asked: str) -> str | None:
    # What a hook of another repository set must not lead there.
    environment = {k: v for k, v in os.environ.items() if not k.startswith("GIT_")}
    command = ["git", "--no-optional-locks", "-C", str(root), *asked]
    try:
        said = subprocess.run(command, capture_output=True, text=True, env={**environment, "TZ": "UTC"})
    except OSError:
        return None
    return said.stdout.strip() if said.returncode == 0 else None


def _files(root: Path) -> str:
    return fingerprint(*(root / name for name in _SHIPPED))


def fingerprint(*folders: Path) -> str:
    """Return twelve hexadecimal digits that are others as soon as a file in one of some folders is.

    An editor's hidden files and backups do not count, nor what Python compiles.
    """
    files = sorted((p.relative_to(of), p) for of in folders for p in of.rglob("*") if _counts(p))
    parts = (part for name, path in files for part in (name.as_posix().encode(), path.read_bytes()))
    return sha256(b"".join(sha256(part).digest() for part in parts)).hexdigest()[:12]


def _counts(path: Path) -> bool:
    return path.is_file() and path.name[0] != "." and path.name[-1] != "~" and path.suffix != ".pyc"
