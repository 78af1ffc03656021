"""Put the application together: its stores, pages and API, and what is done to each request and answer."""

from pathlib import Path

from flask import Flask

from ..advice.readings.needed import needed_readings
from ..imports.gels.csv_table import shipped_gels
from ..resources import folder
from ..store.crew.choices import ChoiceStore
from ..store.crew.gels import GelStore
from ..store.crew.heads_taken import TakenHeads
from ..store.crew.invites import Invites
from ..store.crew.layouts import LayoutStore
from ..store.crew.phones import PhoneStore
from ..store.file.database import FILE_NAME, Database
from ..store.known_heads.heads import HeadStore
from ..store.sets.sets import SetStore
from ..store.tables.kept_sources import KeptSources
from ..version import fingerprint
from . import compress, faults, filters, long_forms, memory, pages
from .access import guard
from .access.lan import LOOPBACK, Lan
from .access.sessions import People
from .access.signing import Secrets
from .api import described as api
from .first_paint import KEPT, first_paint
from .request_counts import keep_tally
from .state import State

MOST_BODY = 32_000_000
"""The largest request that the server reads to its end: before that, a browser shows no refusal. [byte]"""
_MOST_USED = 2_000_000
"""The largest request that most views accept: the largest text, as a form encodes it. [byte]"""


def create_app(data: Path, *, hosts: frozenset[str] = LOOPBACK, lan: Lan | None = None) -> Flask:
    """Make the application over the data folder `data`; it answers to the host names in `hosts` only.

    With `lan` it is open to the local network: it answers to the names in `lan` instead, and phones have to
    join.
    """
    static = folder("static")
    app = Flask(
        "advisor",
        template_folder=str(folder("templates")),
        static_folder=str(static),
        # A phone keeps these: after an update they have another address, so that new pages get new styles.
        static_url_path=f"/static/{fingerprint(static)}",
    )
    app.config["MAX_CONTENT_LENGTH"] = _MOST_USED
    app.config["MAX_FORM_MEMORY_SIZE"] = _MOST_USED
    app.config["SEND_FILE_MAX_AGE_DEFAULT"] = KEPT
    app.jinja_env.trim_blocks = app.jinja_env.lstrip_blocks = True
    db = Database(data / FILE_NAME)
    app.extensions["advisor"] = State(
        sets=SetStore(db, kept=KeptSources(needed=needed_readings)),
        gels=GelStore(db, shipped_gels()),
        choices=ChoiceStore(db),
        layouts=LayoutStore(db),
        heads=HeadStore(db),
        taken=TakenHeads(db),
    )
    app.extensions["database"] = db
    app.extensions["people"] = People(PhoneStore(db), Secrets(data), Invites(data), lan)
    keep_tally(app)
    guard.guard(app, hosts, styles=first_paint(app, static))
    faults.explain(app)
    filters.register(app)
    pages.register(app)
    app.register_blueprint(api.blueprint)
    app.after_request(compress.squeeze)
    memory.give_back(app)
    long_forms.read_long_forms(app)
    return app
