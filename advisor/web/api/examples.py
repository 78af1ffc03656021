"""An example of each call that the API describes: what is asked, and what is answered."""

import json
from pathlib import Path
from typing import Any

EXAMPLES: dict[str, dict[str, Any]] = json.loads(Path(__file__).with_name("examples.json").read_text("utf-8"))
"""By the name of the call: `request` (null where nothing is sent) and `answer`.

The set and the head in them are invented. `python -m tests.web.api_examples` answers the requests anew.
"""
