"""Who sends a request: the host at the laptop, a phone that joined, or a stranger.

The host is whoever asks from this machine by one of its loopback names; on a server that only this machine
reaches, everybody is. So is a phone that joined by a link which was made at the machine. A phone that joined
holds a token of 256 bits in a cookie, of which only the hash is kept. Joining always makes a new token: one
that was planted in a browser before is worth nothing.

References
----------
OWASP ASVS 5.0, V7 (session management): new token at authentication, revocation, cookie attributes.
"""

import hashlib
import hmac
import secrets
from base64 import urlsafe_b64encode
from dataclasses import dataclass, field
from datetime import UTC, datetime
from typing import cast

from flask import Response, current_app, has_request_context, request
from markupsafe import Markup

from ...store import StoreFault
from ...store.crew.invites import Invites
from ...store.crew.phones import HOST, PhoneStore
from .lan import LOOPBACK, Lan, is_loopback
from .preferences import preferences
from .rate_limit import Rates
from .rights import KEPT, Right
from .signing import Secrets

COOKIE = "advisor_phone"
_PERSON = "advisor.person"
_TOKEN_BYTES = 32
_LIFE = 400 * 24 * 3600
"""As long as browsers keep a cookie at most (from memory); the host revokes what is to end before. [s]"""


@dataclass(frozen=True)
class Person:
    """Who asks: `phone_id` is None where it is not a phone that joined."""

    name: str
    role: Right
    phone_id: int | None = None

    @property
    def host(self) -> bool:
        """Whether it may do what only a host may."""
        return self.role is Right.HOST

    @property
    def at_laptop(self) -> bool:
        """Whether it asks from the machine itself, and needs no code."""
        return self.host and self.phone_id is None

    @property
    def joined(self) -> bool:
        """Whether it is anybody but a stranger."""
        return self.role > Right.GUEST


@dataclass
class People:
    """What an application knows of those who may ask; `lan` is None where only this machine reaches it."""

    phones: PhoneStore
    secrets: Secrets
    invites: Invites
    lan: Lan | None = None
    rates: Rates = field(default_factory=Rates)
    invite_rates: Rates = field(default_factory=Rates)
    """Of the codes of links, apart: who guesses at one kind keeps nobody from the other."""
    seen: dict[int, datetime] = field(default_factory=dict)
    """When a phone last asked, since the start."""
    met: dict[str, Person] = field(default_factory=dict)
    """Phones that asked since the start, by the hashes of their tokens: while the data cannot be read."""
    _links: frozenset[str] = frozenset()

    def notice_new_links(self) -> None:
        """Begin with a clean sheet where a link was made since: what was tried before tells nothing of it."""
        links = frozenset(invite.name for invite in self.invites.pending())
        if links - self._links:
            self.invite_rates.forget()
        self._links = links


def people() -> People:
    """Return what the application that answers this request knows of those who may ask."""
    return cast(People, current_app.extensions["people"])


def person() -> Person:
    """Return who sends this request; outside of one, it is the host's own work."""
    if not has_request_context():
        return Person("", Right.HOST)
    if _PERSON not in request.environ:
        request.environ[_PERSON] = _person()
    return cast(Person, request.environ[_PERSON])


def stand_in() -> None:
    """Take from memory who sends this request, where the data cannot be asked: only to tell what is wrong.

    Nobody is let through by it. What a phone was allowed last says how much the fault may tell it.
    """
    try:
        person()
    except StoreFault:
        token = token_hash(request.cookies.get(COOKIE, ""))
        request.environ[_PERSON] = people().met.get(token, Person("", Right.GUEST))


def token_hash(token: str) -> str:
    """Return what is kept of a token."""
    return hashlib.sha256(token.encode()).hexdigest()


def join(response: Response, name: str, role: str) -> None:
    """Keep this phone under a new token, which the answer carries; raises Refused for a name.

    A phone that joins again leaves its earlier self behind, and keeps its role: joining gives nobody more,
    unless it is by a link that makes it a host.
    """
    store, before = people().phones, person()
    if before.phone_id is not None and role != HOST:
        role = next(kept for kept, right in KEPT.items() if right is before.role)
    token = secrets.token_urlsafe(_TOKEN_BYTES)
    store.join(token_hash(token), name, role)
    if before.phone_id is not None:
        store.revoke(before.phone_id)
    response.set_cookie(
        COOKIE, token, max_age=_LIFE, httponly=True, samesite="Strict", secure=request.is_secure, path="/"
    )


def form_token() -> str:
    """Return what proves that a form comes from a page of this person's, and of nobody else's."""
    who = person()
    subject = f"phone {who.phone_id}" if who.phone_id is not None else who.role.name
    digest = hmac.new(people().secrets.key, subject.encode(), hashlib.sha256).digest()
    return urlsafe_b64encode(digest).decode().rstrip("=")


def token_field() -> Markup:
    """Return the hidden field of a form that brings its token."""
    return Markup('<input type="hidden" name="token" value="{}">').format(form_token())


def token_fits(given: str) -> bool:
    """Whether a form token is this person's."""
    return hmac.compare_digest(given.encode(), form_token().encode())


def names_us(hosts: frozenset[str]) -> bool:
    """Whether a request names this server by a name that is its own; `hosts` are those without a network."""
    lan, name = people().lan, host_name(request.host)
    return lan.knows(name) if lan else name in hosts


def _person() -> Person:
    known = people()
    if known.lan is None or (is_loopback(request.remote_addr) and host_name(request.host) in LOOPBACK):
        return Person(preferences().who, Right.HOST)
    if request.path.startswith("/api/") and "Authorization" in request.headers:
        return _program(known)
    token = token_hash(request.cookies.get(COOKIE, ""))
    phone = known.phones.by_token(token)
    if phone is None or phone.program:
        known.met.pop(token, None)
        return Person("", Right.GUEST)
    known.seen[phone.id] = datetime.now(UTC)
    met = known.met[token] = Person(phone.name, KEPT[phone.role], phone.id)
    return met


def new_key(name: str, role: str) -> str:
    """Make a key for a program and return it, which is kept nowhere; raises Refused for a name or a role."""
    key = secrets.token_urlsafe(_TOKEN_BYTES)
    people().phones.join(token_hash(key), name, role, program=True)
    return key


def _program(known: People) -> Person:
    """Return the program whose key a request carries (RFC 6750, 2.1); a stranger where none is known."""
    scheme, _, key = request.headers["Authorization"].partition(" ")
    program = known.phones.by_token(token_hash(key.strip())) if scheme.casefold() == "bearer" else None
    if program is None or not program.program:
        return Person("", Right.GUEST)
    known.seen[program.id] = datetime.now(UTC)
    return Person(program.name, KEPT[program.role], program.id)


def host_name(host: str) -> str:
    """Return a host name in small letters without its port; an IPv6 literal keeps its brackets."""
    name = host.rpartition(":")[0] if ":" in host and not host.endswith("]") else host
    return name.lower()
