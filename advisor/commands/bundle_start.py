"""What `advisor.pyz` of a bundle runs first: it unpacks the wheels beside it once, and starts the advisor.

`advisor.commands.bundle` writes this file into the archive, where nothing but Python itself is in reach. So
it imports nothing of the advisor's, and goes by `bundle.json` beside it, which says what it was made for.
"""

import json
import os
import pkgutil
import platform
import runpy
import shutil
import sys
import zipfile
from importlib.machinery import EXTENSION_SUFFIXES
from pathlib import Path


def made_for() -> dict[str, str]:
    """Return what compiled parts of wheels go by: the form of this Python's modules, and its machine."""
    return {
        "python": platform.python_version(),
        "modules": EXTENSION_SUFFIXES[0],
        "machine": platform.machine(),
    }


def main() -> None:
    """Unpack what is not unpacked yet, and do what the command says; ends the process."""
    here = Path(sys.argv[0]).resolve().parent
    try:
        sys.path.insert(
            0, str(unpacked(here, json.loads(pkgutil.get_data("__main__", "bundle.json") or b"")))
        )
    except (OSError, zipfile.BadZipFile) as error:
        sys.exit(f"advisor: cannot unpack {here / 'wheels'}: {error}. Copy the whole folder again.")
    runpy.run_module("advisor", run_name="__main__", alter_sys=True)


def unpacked(here: Path, made: dict[str, str]) -> Path:
    """Return the folder into which the wheels of a bundle are unpacked, for this version of it.

    It lies beside the wheels; where nobody may write there, in this user's own folder. Ends the process
    where the wheels are for another Python or machine. Raises OSError and BadZipFile for damaged ones.
    """
    now = made_for()
    if (now["modules"], now["machine"]) != (made["modules"], made["machine"]):
        said = "{python} on {machine} ({modules})"
        sys.exit(
            f"advisor: this bundle is for Python {said.format(**made)}; this is {said.format(**now)}. "
            "Start it with such a Python, or make one here: advisor bundle DIR"
        )
    folder = here if os.access(here, os.W_OK) else _own()
    whole = folder / f"unpacked-{made['id']}"
    if not whole.is_dir():
        part = folder / f"{whole.name}.part-{os.getpid()}"
        try:
            for wheel in made["wheels"]:
                with zipfile.ZipFile(here / "wheels" / wheel) as archive:
                    archive.extractall(part)
            part.rename(whole)
        except BaseException:
            shutil.rmtree(part, ignore_errors=True)
            if not whole.is_dir():  # another start was the first
                raise
    return whole


def _own() -> Path:
    root = os.environ.get("LOCALAPPDATA") or os.environ.get("XDG_CACHE_HOME") or Path.home() / ".cache"
    own = Path(root) / "gel-advisor"
    own.mkdir(parents=True, exist_ok=True)
    return own


if __name__ == "__main__":
    main()
