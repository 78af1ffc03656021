"""The truck's form, as a person fills it."""

import pytest

from tests.web.truck import chosen


@pytest.fixture
def fill(get):
    """Return what the form sends as it is shown, with changes: figures by the name of their gel."""

    def form(without=(), also=(), stock=(), mired=(), cc=(), **changed):
        page = get("/gels/truck")
        numbers = {name: key[4:] for key, name in page.fields.items() if key.startswith("gel_")}
        ticks = [value for name, value in page.ticked if name == "on"]
        data = {
            **{k: v for k, v in page.fields.items() if k not in ("families", "on", "series", "book", "skip")},
            "families": sorted(v for name, v in page.ticked if name == "families"),
            "on": sorted({*ticks, *also} - set(without)),
            "series": chosen(page),
        }
        for figure, typed in (("stock", stock), ("mired", mired), ("cc", cc)):
            data |= {f"{figure}_{numbers[name]}": text for name, text in dict(typed).items()}
        return {**data, **changed}

    return form


@pytest.fixture
def save(fill, post):
    return lambda **said: post("/gels/truck", fill(**said))
