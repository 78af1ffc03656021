"""Titles above readings: for what is wanted, for what was read, for another time."""

import re

from ..vocabulary.words import words

_WANTED = re.compile(
    r"\W*(?:the\s|our\s|my\s|dp\s|desk\s)?(?:targets?|wanted|wants?|wish(?:es|\slist)?|aims?|aiming\sfor|goals?|"
    r"plan(?:s|ned|ning)?|needs?|needed|required|requested|specs?|spec\ssheet|nominal|set\s?points?|settings|dials?|presets?|"
    r"labels?|to\s(?:do|set|match)|yesterday|last\s(?:week|night|time)|soll|sollwerte|ziel(?:werte)?|wunsch|gestern|cibles?|"
    r"objectifs?|consignes?|hier|objetivos?|ayer|obiettivi|ieri|alvos?|metas?|ontem|doel(?:en)?|streefwaarden|gisteren|cele|"
    r"wczoraj)(?:['’]s)?(?:\s(?:values?|numbers?|readings?|ccts?|was|were|for\s.{1,20}))?\W*",
    re.IGNORECASE,
)
_READ = re.compile(
    r"\W*(?:(?:and|what)\s)?(?:(?:i|we)\s)?(?:got|measured|metered|actuals?|read|readings?|now|today|is|real|meter|results?|"
    r"ist|istwerte|gemessen|mesuré|mesures|relevés|medido|medidas|misurato|misure|lidos|gemeten|zmierzone|pomiary)"
    r"(?:\s(?:values?|numbers?|readings?))?\W*",
    re.IGNORECASE,
)
_TIMES = words(
    "before after today yesterday now then again morning afternoon evening night lunch wrap first second "
    "third bare gelled ungelled with without start end early late later am pm same recheck check old new "
    "monday tuesday wednesday thursday friday saturday sunday day got measured"
)
_DATE = re.compile(
    r"\d[:./-]\d\d?\b|\b\d{1,2}(?:st|nd|rd|th|\.)?\s(?:jan|feb|m[aä]r|apr|ma[iy]|ju[nl]|aug|sep|o[ck]t|nov|de[cz])",
    re.IGNORECASE,
)
_LONGEST = 80


def is_wanted_title(text: str) -> bool:
    """Whether a line says nothing but that what stands beneath it was wanted, or is another day's."""
    return _WANTED.fullmatch(text[:_LONGEST]) is not None


def is_read_title(text: str) -> bool:
    """Whether a line says nothing but that what stands beneath it was read: "Got", "Measured"."""
    return _READ.fullmatch(text[:_LONGEST]) is not None


def is_another_time(text: str) -> bool:
    """Whether the same lights are likely read another time under a title: "After lunch", "Day 2", "09:40"."""
    said = re.findall(r"\w+", text.casefold())
    return bool(_TIMES & set(said)) or _DATE.search(text) is not None
