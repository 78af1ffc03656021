"""Nothing that only the tests install is needed on set."""

import subprocess
import sys
from pathlib import Path


def test_every_page_opens_with_what_is_required_alone(tmp_path):
    script = Path(__file__).with_name("only_required.py")
    ran = subprocess.run([sys.executable, script, tmp_path / "data"], capture_output=True, text=True)
    assert (ran.returncode, ran.stdout, ran.stderr) == (0, "", "")
