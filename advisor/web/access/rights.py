"""Who may do what: the least right that each request needs, by the name of its view.

What only shows (GET) needs to have joined; a page that is nothing but a form needs what sending it does, so
that nobody fills in what is then refused. What changes something is listed here one by one; what is not
listed only the host may do, so that a new view that was forgotten is closed, not open. A test names it.
"""

from enum import IntEnum


class Right(IntEnum):
    """How much a person may do; each may also do what stands before it."""

    GUEST = 0
    LOOK = 1
    METER = 2
    CHANGE = 3
    HOST = 4


WORDS = {
    Right.GUEST: "has not joined",
    Right.LOOK: "can look",
    Right.METER: "can confirm and meter",
    Right.CHANGE: "can change",
    Right.HOST: "can give roles",
}
"""What a person with a right can do, as a page says it."""
GIVEN = {"change": Right.CHANGE, "meter": Right.METER, "look": Right.LOOK}
"""The roles that a host gives to phones, as the store keeps them."""
KEPT = {"host": Right.HOST, **GIVEN}
"""The roles that phones can have: the first comes with a link made at the machine, and in no other way."""

_SHOWN = {
    "static": Right.GUEST,
    "start.show_worker": Right.GUEST,
    "join.show_join": Right.GUEST,
    "join.scanned": Right.GUEST,
    # Who does not trust the laptop yet has not joined either, and a certificate is no secret.
    "trust.show_trust": Right.GUEST,
    "trust.give_certificate": Right.GUEST,
    # What the API can do is no secret, and a program that has no key yet reads there how to get one.
    "api.get_openapi": Right.GUEST,
}
_SHOWN_TO_HOST = {"host.show_host"}
_FORMS_ALONE = {
    "sets.new_set",
    "sets.edit_set",
    "sources.new_source",
    "sources.edit_source",
    "paste.paste_readings",
    "mend.mend_reading",
    "openings.edit_openings",
    "formats.edit_formats",
    "record.import_set",
    "gels.new_gel",
    "gels.edit_gel",
    "gel_import.import_table",
    "teach.teach_gel",
    "truck.choose_gels",
    "known_heads.new_head",
    "known_heads.edit_head",
    "head_tests.new_test",
    "head_tests.take_reading",
    "test_paste.paste_test",
    "head_exchange.import_heads",
    "from_heads.add_head",
}
"""Views that show a form and nothing else to read."""
CHANGING: dict[str, Right] = {
    "join.join": Right.GUEST,
    # One's own look and units; what is asked without keeping anything.
    "look.choose": Right.LOOK,
    "api.post_advice": Right.LOOK,
    "api.post_prediction": Right.LOOK,
    "api.post_plans": Right.LOOK,
    "api.post_light": Right.LOOK,
    "api.stop_work": Right.LOOK,
    "api.post_test": Right.CHANGE,
    "api.post_reading": Right.METER,
    # Metering, hanging, confirming.
    "sources.add_reading": Right.METER,
    "work.use_level": Right.METER,
    "work.set_kind": Right.METER,
    "undo.undo_together": Right.METER,  # of that alone
    "sources.be_head": Right.METER,
    "undo.undo_head": Right.METER,  # of that alone
    "work.move_stand": Right.METER,
    "work.set_work": Right.METER,
    "lamp.set_lamp": Right.METER,
    "work.hide_cautions": Right.METER,
    "pulls.tick_line": Right.METER,
    "orders.order_heads": Right.METER,
    "orders.wrap": Right.METER,
    "orders.take_down": Right.METER,
    "orders.go_next": Right.METER,
    "orders.take_head": Right.METER,
    "orders.free_head": Right.METER,
    # Whoever may read may also strike out what was read wrong: it stays on the record.
    "undo.strike_reading": Right.METER,
    "undo.bring_back": Right.METER,
    "mend.mend_reading": Right.METER,
    "mend.correct_gel": Right.METER,
    "mend.new_sheets": Right.METER,
    "mend.gel_was_on": Right.METER,
    "head_tests.new_test": Right.METER,
    "head_tests.take_reading": Right.METER,
    "test_paste.paste_test": Right.METER,
    "keep_readings.keep": Right.METER,
    "whites.stop_search": Right.METER,
    "working.stop": Right.METER,
    "working.begin_again": Right.METER,
    "whites.search_again": Right.METER,
    # What is wanted, and with what.
    "work.allow_layer": Right.CHANGE,
    "sets.new_set": Right.CHANGE,
    "sets.edit_set": Right.CHANGE,
    "sets.delete_set": Right.CHANGE,
    "sets.restore_set": Right.CHANGE,
    "sets.load_sample": Right.CHANGE,
    "sets.remove_sample": Right.CHANGE,
    "sources.new_source": Right.CHANGE,
    "sources.edit_source": Right.CHANGE,
    "sources.delete_source": Right.CHANGE,
    "sources.restore_source": Right.CHANGE,
    "compare.set_aim": Right.CHANGE,
    "light.set_exposure": Right.CHANGE,
    "light_asked.plan_light": Right.CHANGE,
    "light_asked.add_scrims": Right.CHANGE,
    "whites.adopt_white": Right.CHANGE,
    "whites.take_back": Right.CHANGE,
    "next_plans.adopt_plan": Right.CHANGE,
    "next_plans.take_back": Right.CHANGE,
    "next_plans.freeze_target": Right.CHANGE,
    "together.plan_together": Right.CHANGE,
    "paste.paste_readings": Right.CHANGE,
    "pulls.set_spare": Right.CHANGE,
    "openings.edit_openings": Right.CHANGE,
    "formats.edit_formats": Right.CHANGE,
    "record.import_set": Right.CHANGE,
    "record.duplicate_set": Right.CHANGE,
    "undo.undo_change": Right.CHANGE,
    "gels.new_gel": Right.CHANGE,
    "gels.edit_gel": Right.CHANGE,
    "gels.remove_gel": Right.CHANGE,
    "gels.switch_gel": Right.CHANGE,
    "gels.count_sheet": Right.CHANGE,
    "gel_import.import_table": Right.CHANGE,
    "gels.go_back": Right.CHANGE,
    "gels.bring_back": Right.CHANGE,
    "teach.teach_gel": Right.CHANGE,
    "truck.choose_gels": Right.CHANGE,
    "known_heads.new_head": Right.CHANGE,
    "known_heads.edit_head": Right.CHANGE,
    "known_heads.delete_head": Right.CHANGE,
    "known_heads.restore_head": Right.CHANGE,
    "known_heads.undo_change": Right.CHANGE,
    "head_exchange.import_heads": Right.CHANGE,
    "from_heads.add_head": Right.CHANGE,
    # Who else may do what.
    "host.renew_codes": Right.HOST,
    "host.choose_role": Right.HOST,
    "host.change_role": Right.HOST,
    "host.revoke_phone": Right.HOST,
    "host.withdraw_invite": Right.HOST,
    "host.make_key": Right.HOST,
    "host.revoke_key": Right.HOST,
}
"""The least right to send something to a view."""


def needed(view: str | None, *, changing: bool) -> Right:
    """Return the least right that a request to a view needs; None is an address that there is not."""
    if view is not None and (changing or view in _FORMS_ALONE):
        return CHANGING.get(view, Right.HOST)
    if view in _SHOWN_TO_HOST:
        return Right.HOST
    return _SHOWN.get(view or "", Right.LOOK)
