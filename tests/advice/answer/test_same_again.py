"""The same request gets the same answer, byte for byte: in another process, and among other sources."""

import os
import subprocess
import sys
from pathlib import Path

from advisor.advice.answer.advise import advise
from advisor.model.advice import AdviceRequest
from tests.same_again import TABLE, answer, asked, told

ROOT = Path(__file__).parents[3]
MANY = 2


def test_another_process_answers_the_same():
    """Of another seed for hashes, with another number of threads, and asked in another order."""
    environment = {**os.environ, "PYTHONHASHSEED": "77", "OPENBLAS_NUM_THREADS": "2", "PYTHONPATH": str(ROOT)}
    command = [sys.executable, "-m", "tests.same_again", str(MANY), "reverse"]
    ran = subprocess.run(command, cwd=ROOT, env=environment, capture_output=True, text=True, check=True)
    assert ran.stdout.splitlines() == [told(number) for number in reversed(range(MANY))]
    assert answer(0).startswith('{"sources"'), "the one that once was another is advised on"


def test_a_source_is_advised_on_as_it_is_alone():
    lamps = [one for number in range(1, 40) for one in asked(number)["sources"] if "reach" not in one]
    sources = [{**one, "name": f"Lamp {i}"} for i, one in enumerate(lamps[:10])]
    about = {"target": {"cct": 5600, "locus": "daylight"}, "max_layers": 2}
    assert len(sources) == 10, "more than are worked out at one go"
    together = advise(AdviceRequest.model_validate({**about, "sources": sources}), TABLE).sources
    for source, found in zip(sources, together, strict=True):
        [alone] = advise(AdviceRequest.model_validate({**about, "sources": [source]}), TABLE).sources
        assert alone.model_dump_json() == found.model_dump_json(), source["name"]
