"""`advisor bundle`: the advisor and all that it needs in one folder, for a machine without internet.

The folder holds wheels, made of what is installed here, so this works without internet too; and
`advisor.pyz`, which starts from them with nothing installed. Wheels are as PEP 427 (2012) describes them.
"""

import base64
import json
import re
import sys
import zipfile
from collections.abc import Iterator
from hashlib import sha256
from importlib import metadata
from pathlib import Path, PurePosixPath

from ..resources import folder as resource
from ..version import version
from . import bundle_start

NAME = "gel-advisor"
_RESOURCES = ("templates", "static", "gels")
_NOT_SHIPPED = {"RECORD", "INSTALLER", "REQUESTED", "direct_url.json", "uv_cache.json"}
"""Files of an installation that its installer writes, and no wheel has."""
_READ_ME = """Gel advisor {version}, for a machine without internet

It is for Python {python} on {machine}, on the same system as the machine where it was made.

Start it, with nothing installed:

    python3 advisor.pyz            (Windows: py advisor.pyz)

Or install it once, with no package index:

    python3 -m venv .venv
    .venv/bin/pip install --no-index --find-links wheels gel-advisor
    .venv/bin/advisor

`--lan`, `--data DIR` and all else is as usual: python3 advisor.pyz --help
"""


_PURE = b"Wheel-Version: 1.0\nGenerator: advisor\nRoot-Is-Purelib: true\nTag: py3-none-any\n"


class NotBundled(Exception):
    """Why no bundle can be made; a sentence."""


def bundle(to: Path) -> int:
    """Write a bundle into a new or empty folder; returns the exit status."""
    try:
        wheels = write_bundle(to)
    except NotBundled as why:
        print(f"advisor: {why}", file=sys.stderr)
        return 1
    except OSError as error:
        print(f"advisor: cannot write {error.filename or to}: {error.strerror}", file=sys.stderr)
        return 1
    size = sum(file.stat().st_size for file in to.rglob("*") if file.is_file())
    print(f"{to}: advisor.pyz and {len(wheels)} wheels, {size / 1e6:.0f} MB. Copy the whole folder.")
    print("There: python3 advisor.pyz")
    return 0


def write_bundle(to: Path) -> list[str]:
    """Write a bundle into a new or empty folder, and return the names of its wheels.

    Raises NotBundled where the folder holds something, or where a package is not installed as a wheel is, and
    OSError.
    """
    if to.exists() and (not to.is_dir() or any(to.iterdir())):
        raise NotBundled(f"{to} exists already. Give a new folder, or an empty one")
    every = list(needed(NAME))  # before anything is written
    (to / "wheels").mkdir(parents=True)
    wheels = [_own_wheel(one, to) if is_own(one) else _wheel(one, to) for one in every]
    digest = sha256(b"".join((to / "wheels" / name).read_bytes() for name in sorted(wheels)))
    made = {**bundle_start.made_for(), "id": digest.hexdigest()[:12], "wheels": wheels}
    with zipfile.ZipFile(to / "advisor.pyz", "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("__main__.py", Path(bundle_start.__file__).read_bytes())
        archive.writestr("bundle.json", json.dumps(made))
    said = _READ_ME.format(version=version(), **bundle_start.made_for())
    (to / "READ ME.txt").write_text(said, encoding="utf-8")
    return wheels


def is_own(one: metadata.Distribution) -> bool:
    """Whether a package is the advisor itself."""
    return _key(one.name) == NAME


def needed(name: str) -> Iterator[metadata.Distribution]:
    """Yield a package and all that it needs here, each once; raises NotBundled where one is missing.

    What a condition asks for (“on Windows”) is needed where it is installed.
    """
    waiting, seen = [(name, False)], set[str]()
    while waiting:
        name, optional = waiting.pop()
        if _key(name) in seen:
            continue
        seen.add(_key(name))
        try:
            found = metadata.distribution(name)
        except metadata.PackageNotFoundError:
            if optional:
                continue
            why = f"{name} is not installed here. Install the advisor first: pip install ."
            raise NotBundled(why) from None
        yield found
        for line in found.requires or ():
            said = re.match(r"[\w.-]+", line)
            if said and "extra ==" not in line:
                waiting.append((said[0], ";" in line))


def _key(name: str) -> str:
    return re.sub(r"[-_.]+", "-", name).lower()


def _wheel(one: metadata.Distribution, to: Path) -> str:
    """Write the wheel that a package was installed from, as far as an installation tells."""
    tags = re.findall(r"^Tag: (\S+)$", one.read_text("WHEEL") or "", re.MULTILINE)
    if not one.files or not tags:
        raise NotBundled(
            f"{one.name} was not installed from a wheel, so it cannot be bundled. "
            "Install the advisor into an environment of its own, and bundle it from there"
        )
    files = {}
    for file in one.files:
        compiled = file.suffix == ".pyc" or "__pycache__" in file.parts
        if ".." in file.parts or file.is_absolute() or compiled or file.name in _NOT_SHIPPED:
            continue  # commands are made again where it is installed, of its entry points
        files[file.as_posix()] = Path(str(one.locate_file(file))).read_bytes()
    return _zipped(one.name, one.version, tags, files, to)


def _own_wheel(one: metadata.Distribution, to: Path) -> str:
    """Write the wheel of the advisor as it runs now, also where it was installed to be edited."""
    package = Path(__file__).parents[1]
    files = {f"advisor/{k}": v for k, v in _below(package) if k.partition("/")[0] not in _RESOURCES}
    for name in _RESOURCES:
        files |= {f"advisor/{name}/{k}": v for k, v in _below(resource(name))}
    said = f"Version: {version()}"
    about = re.sub(r"^Version: .*$", said, one.read_text("METADATA") or "", count=1, flags=re.MULTILINE)
    inside = f"{_part(NAME)}-{version()}.dist-info"
    files[f"{inside}/METADATA"] = about.encode()
    files[f"{inside}/WHEEL"] = _PURE
    files[f"{inside}/entry_points.txt"] = b"[console_scripts]\nadvisor = advisor.cli:main\n"
    licences = (file for file in one.files or () if "licenses" in file.parts)
    files |= {f"{inside}/licenses/{f.name}": Path(str(one.locate_file(f))).read_bytes() for f in licences}
    return _zipped(NAME, version(), ["py3-none-any"], files, to)


def _below(root: Path) -> Iterator[tuple[str, bytes]]:
    for file in sorted(root.rglob("*")):
        if file.is_file() and file.suffix != ".pyc" and not file.name.startswith("."):
            yield file.relative_to(root).as_posix(), file.read_bytes()


def _part(name: str) -> str:
    """Write a name or a version as the name of a wheel has it."""
    return re.sub(r"[^\w.+!]+", "_", name)


def _zipped(name: str, version: str, tags: list[str], files: dict[str, bytes], to: Path) -> str:
    """Write a wheel with its record, and return its name."""
    [about] = [file for file in files if re.fullmatch(r"[^/]+\.dist-info/METADATA", file)]
    record = str(PurePosixPath(about).parent / "RECORD")
    lines = [f"{_quoted(file)},sha256={_digest(data)},{len(data)}" for file, data in files.items()]
    parts = (sorted({tag.split("-")[at] for tag in tags}) for at in range(3))
    wheel = "-".join([_part(name), _part(version), *(".".join(part) for part in parts)]) + ".whl"
    with zipfile.ZipFile(to / "wheels" / wheel, "w", zipfile.ZIP_DEFLATED) as archive:
        for file, data in files.items():
            archive.writestr(zipfile.ZipInfo(file), data, zipfile.ZIP_DEFLATED)
        archive.writestr(record, "".join(f"{line}\n" for line in [*lines, f"{record},,"]))
    return wheel


def _digest(data: bytes) -> str:
    return base64.urlsafe_b64encode(sha256(data).digest()).rstrip(b"=").decode()


def _quoted(file: str) -> str:
    return f'"{file}"' if "," in file else file
