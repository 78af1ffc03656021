"""Answers of the advice, and what it refuses."""

import pytest

from advisor.advice.answer.advise import advise
from advisor.model import Refused
from tests.advice.rows import neutral, nominal

TABLE = nominal() + neutral()


def stacks(request, table=TABLE):
    return advise(request, table).sources[0].stacks


def refused(call, *args):
    with pytest.raises(Refused) as no:
        call(*args)
    assert all(p.says and p.allowed for p in no.value.problems)
    return no.value.problems
