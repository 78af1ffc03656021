"""The files by which a machine serves on its own: what they start is what the command takes, and whole."""

import json
import re
import shutil
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest

from advisor import cli

ROOT = Path(__file__).parents[1]
UNIT = (ROOT / ".host" / "gel-advisor.service").read_text(encoding="utf-8")
CONTAINER = (ROOT / ".host" / "Containerfile").read_text(encoding="utf-8")
VERIFY = shutil.which("systemd-analyze")


def told(heading):
    """The commands that stand in the head of a file, for a person."""
    return [line[1:].strip() for line in heading.partition("\n\n")[0].splitlines() if line.startswith("#   ")]


def asked(words):
    return cli._parser().parse_args(words)


def test_the_unit_starts_the_command_for_the_network_over_its_own_folder():
    command, *arguments = re.findall(r"^ExecStart=(.*)$", UNIT, re.MULTILINE)[0].split()
    assert command == "/opt/gel-advisor/bin/advisor"
    assert f"{command} invite --data /var/lib/gel-advisor" in told(UNIT)
    assert asked(arguments).lan and asked(arguments).command is None
    assert "Environment=ADVISOR_DATA=%S/gel-advisor " in UNIT and "\nStateDirectory=gel-advisor\n" in UNIT
    assert asked(["invite", "--data", "/var/lib/gel-advisor"]).data == Path("/var/lib/gel-advisor")


@pytest.mark.skipif(VERIFY is None, reason="systemd-analyze comes with systemd")
def test_systemd_understands_every_line_of_the_unit(tmp_path):
    unit = tmp_path / "gel-advisor.service"
    unit.write_text(UNIT.replace("/opt/gel-advisor/bin/advisor", sys.executable))
    ended = subprocess.run([VERIFY, "verify", str(unit)], capture_output=True, text=True)
    assert (ended.returncode, ended.stderr) == (0, "")


def test_the_container_starts_the_command_for_the_network_over_its_volume():
    entry, words = (json.loads(re.findall(rf"^{k} (.*)$", CONTAINER, re.M)[0]) for k in ("ENTRYPOINT", "CMD"))
    assert entry == ["advisor"]
    assert asked(words).lan
    assert "\nENV ADVISOR_DATA=/data " in CONTAINER and "\nVOLUME /data\n" in CONTAINER
    assert asked(["invite"]).command == "invite" and "podman exec gel-advisor advisor invite" in told(
        CONTAINER
    )
    assert "--network host" in " ".join(told(CONTAINER)), "it answers to addresses of its own machine only"


def test_what_is_copied_into_the_container_is_what_the_build_takes():
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    wheel = project["tool"]["hatch"]["build"]["targets"]["wheel"]
    needed = {"pyproject.toml", project["project"]["readme"], *wheel["packages"], *wheel["force-include"]}
    needed |= set(project["project"].get("license-files", ["LICENSE"]))
    copied = re.findall(r"^COPY (?!--from)(.*) /source/\S*$", CONTAINER, re.MULTILINE)
    assert {name for names in copied for name in names.split()} == needed
    assert all((ROOT / name).exists() for name in needed)


def test_neither_runs_as_root():
    assert "\nDynamicUser=yes\n" in UNIT
    assert re.findall(r"^USER (\S+)$", CONTAINER, re.MULTILINE) == ["advisor"]
    assert CONTAINER.index("\nUSER advisor") < CONTAINER.index("\nENTRYPOINT")
