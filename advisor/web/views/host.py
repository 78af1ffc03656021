"""The host's page: how phones join, who did, what each may do, and how the server does."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

import segno
from markupsafe import Markup

from ...model.basis.quantities import tidy
from ...model.sets.phrases import counted
from ...store.crew.invites import Invite
from ...store.crew.phones import HOST, StoredPhone
from ...store.file.backup import BackupStatus
from ...version import version
from ..access.lan import Lan
from ..access.rights import GIVEN, WORDS, Right
from ..access.sessions import People
from ..live.pulse import HERE
from ..request_counts import Tally
from ..wording.values import capitalize_first, when
from .choices import OfferedChoice


@dataclass(frozen=True)
class TrustView:
    """How a phone comes to trust the laptop's own certificate: an address, as a QR code too; its SHA-256."""

    qr: Markup
    url: str
    fingerprint: str


@dataclass(frozen=True)
class JoinView:
    """How a phone joins: the page's address as a QR code and in words, and the code to type.

    `found` tells that the laptop has an address. `closed` says for how long no typed code is taken, empty
    where one is. `others` are more addresses, `secure` that nobody on the network reads along. `trust` is
    None where the certificate is not the laptop's own.
    """

    found: bool
    qr: Markup | None
    url: str
    code: str
    closed: str
    others: str
    secure: bool
    trust: TrustView | None


@dataclass(frozen=True)
class PhoneRow:
    """A phone that joined, with how long ago it last asked, in words, and the roles it may have."""

    id: int
    name: str
    ago: str
    roles: tuple[OfferedChoice, ...]


@dataclass(frozen=True)
class HostView:
    """The page; `join` is None where only the laptop opens the advisor's pages.

    `programs` have a key. `usual` is the role of phones that join from now on. `server` has a name and a
    value a line, and `backup_failed` says what went wrong at the last backup, empty where nothing did.
    """

    heading: str
    join: JoinView | None
    invites: tuple[Invite, ...]
    phones: tuple[PhoneRow, ...]
    programs: tuple[PhoneRow, ...]
    usual: tuple[OfferedChoice, ...]
    server: tuple[tuple[str, str], ...]
    backup_failed: str


def view_of(known: People, usual: str, tally: Tally, data: Path, backup: BackupStatus | None) -> HostView:
    """Return the page; `data` is the data file, `backup` how its backups stand, None where there are none."""
    inside = [one for one in known.phones.all() if one.revoked_at is None]
    phones = [one for one in inside if not one.program]
    return HostView(
        heading=_heading(known.lan, len(phones)),
        join=_join(known, known.lan) if known.lan else None,
        invites=tuple(known.invites.pending()),
        phones=tuple(_row(phone, known.seen.get(phone.id)) for phone in phones),
        programs=tuple(_row(one, known.seen.get(one.id)) for one in inside if one.program),
        usual=_roles(usual),
        server=tuple(_server(tally, data, backup)),
        backup_failed=backup.failed if backup else "",
    )


def _heading(lan: Lan | None, phones: int) -> str:
    if not lan:
        return "Only this laptop opens these pages"
    if not phones:
        return "No phone has joined"
    return f"{phones} phone{' has' if phones == 1 else 's have'} joined"


def _join(known: People, lan: Lan) -> JoinView:
    urls, codes = lan.urls(), known.secrets.codes
    return JoinView(
        found=bool(lan.addresses()),
        qr=_qr(f"{urls[0]}join/{codes.scanned}") if urls else None,
        url=urls[0] if urls else "",
        code=codes.shown,
        closed=_closed(-(-known.rates.closed() // 60)),
        others=f"Other addresses of this laptop: {', '.join(urls[1:])}." if urls[1:] else "",
        secure=lan.secure,
        trust=_trust(lan),
    )


def _trust(lan: Lan) -> TrustView | None:
    if lan.trust is None:
        return None
    url = lan.trust_url()
    return TrustView(_qr(url), url, lan.trust.fingerprint)


def _closed(minutes: int) -> str:
    if not minutes:
        return ""
    return f"Typed codes are locked for {counted(minutes, 'minute')}. Scan the QR code, or make a new code."


def _qr(url: str) -> Markup:
    """Draw a QR code (ISO/IEC 18004), dark on white with the quiet zone of 4 modules that it asks for."""
    drawn = segno.make(url, error="m", micro=False).svg_inline(
        border=4, dark="#000", light="#fff", omitsize=True, svgclass="qr", lineclass=None
    )
    return Markup(drawn)  # only what segno drew: the address is in it as squares


def _row(phone: StoredPhone, seen: datetime | None) -> PhoneRow:
    return PhoneRow(phone.id, phone.name, _ago(seen), _roles(phone.role))


def _roles(now: str) -> tuple[OfferedChoice, ...]:
    """Return the roles to choose from; that of a host is given by a link alone, and may only be kept."""
    by_link = {HOST: Right.HOST} if now == HOST else {}
    roles: dict[str, Right] = by_link | GIVEN
    return tuple(
        OfferedChoice(role, capitalize_first(WORDS[right]), role == now) for role, right in roles.items()
    )


def _ago(at: datetime | None) -> str:
    if at is None:
        return "not seen since the advisor started"
    seconds = (datetime.now(UTC) - at).total_seconds()
    # A clock that was set back in between makes no future of what was.
    return "here now" if seconds < HERE else f"seen {span(seconds)} ago"


def span(seconds: float) -> str:
    """Say a length of time: “40 s”, “3 min”, “5 h 10 min”, “2 d 4 h”."""
    minutes, hours, days = int(seconds // 60), int(seconds // 3600), int(seconds // 86400)
    if minutes == 0:
        return f"{int(seconds)} s"
    if hours == 0:
        return f"{minutes} min"
    return f"{hours} h {minutes % 60} min" if days == 0 else f"{days} d {hours % 24} h"


def _server(tally: Tally, data: Path, backup: BackupStatus | None) -> Sequence[tuple[str, str]]:
    errors = counted(tally.errors, "error") if tally.errors else "no errors"
    made = "none yet"
    if backup and backup.at:
        made = Markup("{}, {} kept").format(when(backup.at), backup.count)
    return (
        ("Running for", span(tally.uptime)),
        ("Requests", f"{tally.requests}, {errors}"),
        ("Data", f"{_size(data)} in {data.parent.absolute()}"),
        ("Last backup", made),
        ("Version", version()),
    )


def _size(path: Path) -> str:
    """Say how large the data file is, with what SQLite has not yet written into it."""
    parts = [path, path.with_name(path.name + "-wal")]
    total = sum(part.stat().st_size for part in parts if part.exists())
    return f"{tidy(total / 1e6, 1)} MB"
