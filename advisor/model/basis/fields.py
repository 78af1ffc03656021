"""The words by which people read of the fields of sets, sources and readings, in one table.

A field is looked up by its name in a form or in the model. Where both use one name for different things, the
words are those of the form's field.
"""

import re

_WORDS = {
    "cct": "CCT",
    "duv": "Duv",
    "lux": "illuminance",
    "ra": "Ra",
    "r9": "R9",
    "rf": "Rf",
    "rg": "Rg",
    "ssi": "SSI",
    "ssi_reference": "SSI against",
    "level": "dim level",
    "dial_cct": "CCT on its dial",
    "dial_green": "green dial",
    "use_level": "level in use",
    "use_modifier": "modifier in use",
    "keep": "fixed gel",
    "aim": "what is wanted of it",
    "on_subject": "falls on the subject",
    "over_key": "over the key, at most",
    "tolerance_steps": "tolerance",
    "watts": "power",
    "stand": "where it stands",
    "reach": "dial range",
    "reach_cct_from": "dial: CCT from",
    "reach_cct_to": "dial: CCT to",
    "reach_cct_step": "dial goes in",
    "reach_green_from": "dial: green from",
    "reach_green_to": "dial: green to",
    "reach_green_step": "green dial goes in",
    "target_cct": "target CCT",
    "target_locus": "target is on",
    "target_duv_offset": "off the locus",
    "target_tint": "camera's tint",
    "no_gel": "no gel on it",
    "max_layers": "layers, at most",
    "max_stops": "light lost, at most",
    "meter_cct_percent": "meter's CCT",
    "meter_duv": "meter's Duv",
    "exclude_families": "families left out",
    "only_cut": "only what is cut",
    "only_gels": "gels that are cut",
    "share_stock": "one stock for all",
    "hidden_cautions": "cautions understood",
    "spare_percent": "spare",
    "walk": "order of the heads",
    "down": "heads that are down",
    "gelled_cct": "CCT behind the gel",
    "gelled_duv": "Duv behind the gel",
    "gelled_lux": "illuminance behind the gel",
    "mired": "mired shift",
    "cc": "green–magenta shift",
    "stops": "light lost",
    "known": "how it is known",
    "percent": "how far it may be off",
    "iso": "ISO",
    "contrast": "key to fill in stops",
    "than_now": "brighter than now",
    "minutes_on": "minutes on",
    "constant": "C",
    "spectrum_text": "spectrum",
}
"""Only the fields that are not called by their names; the others are, with spaces for underscores."""


def field_words(name: str) -> str:
    """Return what a field is called within a sentence: “level in use”, “CCT”."""
    return _WORDS.get(name, name.replace("_", " "))


def field_label(name: str) -> str:
    """Return what a field is called where it stands alone: “Level in use”.

    The field of a numbered row gets its number, counted from 1: ``mired_0`` is “Mired shift 1”.
    """
    row = re.fullmatch(r"(.+)_(\d{1,3})", name)
    words = field_words(row[1] if row else name)
    label = words if len(words) == 1 else words[:1].upper() + words[1:]
    return f"{label} {int(row[2]) + 1}" if row else label
