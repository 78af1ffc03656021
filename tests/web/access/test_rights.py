"""Who may ask for what: a table written down here, address by address and method by method, for every role.

It is not worked out from the application's own table, so that a right which is changed by mistake is seen.
A new address is written down here by hand: what may a stranger, and each role, do with it?
"""

from typing import NamedTuple

import pytest

from advisor.web.access.trust import Trust
from tests.bakery import bakery
from tests.heads import keep_tested
from tests.thorough import in_turn
from tests.web.phones import Browser, host, joined, open_app

ROLES = ("stranger", "look", "meter", "change", "host")
"""Who has not joined; the three roles of phones; who is at the laptop."""
TABLE = """
                                                 stranger  look  meter  change  host
GET   /                                          no        yes   yes    yes     yes
POST  /api/v1/advice                             no        yes   yes    yes     yes
GET   /api/v1/gels                               no        yes   yes    yes     yes
GET   /api/v1/heads                              no        yes   yes    yes     yes
POST  /api/v1/heads                              no        no    no     yes     yes
GET   /api/v1/heads/<int:head_id>                no        yes   yes    yes     yes
GET   /api/v1/openapi.json                       yes       yes   yes    yes     yes
POST  /api/v1/plans                              no        yes   yes    yes     yes
POST  /api/v1/light                              no        yes   yes    yes     yes
POST  /api/v1/prediction                         no        yes   yes    yes     yes
GET   /api/v1/sets                               no        yes   yes    yes     yes
GET   /api/v1/sets/<int:set_id>                  no        yes   yes    yes     yes
POST  /api/v1/sets/<int:set_id>/sources/<int:number>/readings  no  no  yes  yes   yes
GET   /changes/<int:change_id>/undo              no        yes   yes    yes     yes
POST  /changes/<int:change_id>/undo              no        no    no     yes     yes
GET   /changes/<int:change_id>/undo-head         no        yes   yes    yes     yes
POST  /changes/<int:change_id>/undo-head         no        no    yes    yes     yes
GET   /formats                                   no        no    no     yes     yes
POST  /formats                                   no        no    no     yes     yes
GET   /gels                                      no        yes   yes    yes     yes
GET   /gels/back                                 no        yes   yes    yes     yes
POST  /gels/back                                 no        no    no     yes     yes
GET   /gels/bring-back                           no        yes   yes    yes     yes
POST  /gels/bring-back                           no        no    no     yes     yes
GET   /gels/edit                                 no        no    no     yes     yes
POST  /gels/edit                                 no        no    no     yes     yes
GET   /gels/gels.csv                             no        yes   yes    yes     yes
GET   /gels/import                               no        no    no     yes     yes
POST  /gels/import                               no        no    no     yes     yes
GET   /gels/new                                  no        no    no     yes     yes
POST  /gels/new                                  no        no    no     yes     yes
POST  /gels/remove                               no        no    no     yes     yes
POST  /gels/stock                                no        no    no     yes     yes
POST  /gels/switch                               no        no    no     yes     yes
GET   /gels/teach                                no        no    no     yes     yes
POST  /gels/teach                                no        no    no     yes     yes
GET   /gels/truck                                no        no    no     yes     yes
POST  /gels/truck                                no        no    no     yes     yes
GET   /heads                                     no        yes   yes    yes     yes
GET   /heads/beside                              no        yes   yes    yes     yes
POST  /head-changes/<int:change_id>/undo         no        no    no     yes     yes
GET   /heads/<int:head_id>                       no        yes   yes    yes     yes
POST  /heads/<int:head_id>/delete                no        no    no     yes     yes
GET   /heads/<int:head_id>/edit                  no        no    no     yes     yes
POST  /heads/<int:head_id>/edit                  no        no    no     yes     yes
POST  /heads/<int:head_id>/restore               no        no    no     yes     yes
GET   /heads/<int:head_id>/paste                 no        no    yes    yes     yes
POST  /heads/<int:head_id>/paste                 no        no    yes    yes     yes
GET   /heads/<int:head_id>/test                  no        no    yes    yes     yes
POST  /heads/<int:head_id>/test                  no        no    yes    yes     yes
GET   /heads/export.csv                          no        yes   yes    yes     yes
GET   /heads/export.json                         no        yes   yes    yes     yes
GET   /heads/import                              no        no    no     yes     yes
POST  /heads/import                              no        no    no     yes     yes
GET   /heads/new                                 no        no    no     yes     yes
POST  /heads/new                                 no        no    no     yes     yes
GET   /host                                      no        no    no     no      yes
POST  /host/invites/withdraw                     no        no    no     no      yes
POST  /host/keys                                 no        no    no     no      yes
POST  /host/keys/<int:phone_id>/revoke           no        no    no     no      yes
POST  /host/phones/<int:phone_id>/revoke         no        no    no     no      yes
POST  /host/phones/<int:phone_id>/role           no        no    no     no      yes
POST  /host/renew                                no        no    no     no      yes
POST  /host/role                                 no        no    no     no      yes
GET   /join                                      yes       yes   yes    yes     yes
POST  /join                                      yes       yes   yes    yes     yes
GET   /join/<code>                               yes       yes   yes    yes     yes
GET   /live                                      no        yes   yes    yes     yes
GET   /live/<int:set_id>                         no        yes   yes    yes     yes
GET   /about                                     no        yes   yes    yes     yes
GET   /look                                      no        yes   yes    yes     yes
POST  /look                                      no        yes   yes    yes     yes
POST  /readings/<int:reading_id>/back            no        no    yes    yes     yes
GET   /readings/<int:reading_id>/mend            no        no    yes    yes     yes
POST  /readings/<int:reading_id>/mend            no        no    yes    yes     yes
POST  /readings/<int:reading_id>/strike          no        no    yes    yes     yes
GET   /readings-template.csv                     no        yes   yes    yes     yes
POST  /sample                                    no        no    no     yes     yes
POST  /sample/remove                             no        no    no     yes     yes
GET   /sets                                      no        yes   yes    yes     yes
GET   /sets/<int:set_id>                         no        yes   yes    yes     yes
GET   /sets/<int:set_id>/cautions                no        yes   yes    yes     yes
POST  /sets/<int:set_id>/cautions                no        no    yes    yes     yes
GET   /sets/<int:set_id>/changes/undo            no        yes   yes    yes     yes
POST  /sets/<int:set_id>/changes/undo            no        no    yes    yes     yes
GET   /sets/<int:set_id>/compare                 no        yes   yes    yes     yes
GET   /sets/<int:set_id>/days                    no        yes   yes    yes     yes
POST  /sets/<int:set_id>/delete                  no        no    no     yes     yes
POST  /sets/<int:set_id>/duplicate               no        no    no     yes     yes
GET   /sets/<int:set_id>/edit                    no        no    no     yes     yes
POST  /sets/<int:set_id>/edit                    no        no    no     yes     yes
GET   /sets/<int:set_id>/export.json             no        yes   yes    yes     yes
GET   /sets/<int:set_id>/exposure                no        yes   yes    yes     yes
POST  /sets/<int:set_id>/exposure                no        no    no     yes     yes
GET   /sets/<int:set_id>/freeze                  no        yes   yes    yes     yes
POST  /sets/<int:set_id>/freeze                  no        no    no     yes     yes
GET   /sets/<int:set_id>/heads                   no        no    no     yes     yes
POST  /sets/<int:set_id>/heads                   no        no    no     yes     yes
GET   /sets/<int:set_id>/keep                    no        yes   yes    yes     yes
POST  /sets/<int:set_id>/keep                    no        no    yes    yes     yes
GET   /sets/<int:set_id>/lamps                   no        yes   yes    yes     yes
GET   /sets/<int:set_id>/light                   no        yes   yes    yes     yes
GET   /sets/<int:set_id>/order                   no        yes   yes    yes     yes
POST  /sets/<int:set_id>/order                   no        no    yes    yes     yes
GET   /sets/<int:set_id>/order/next              no        yes   yes    yes     yes
POST  /sets/<int:set_id>/order/next              no        no    yes    yes     yes
POST  /sets/<int:set_id>/order/wrap                no        no    yes    yes     yes
POST  /sources/<int:source_id>/down                 no        no    yes    yes     yes
GET   /sets/<int:set_id>/paste                   no        no    no     yes     yes
POST  /sets/<int:set_id>/paste                   no        no    no     yes     yes
GET   /sets/<int:set_id>/plans                   no        yes   yes    yes     yes
POST  /sets/<int:set_id>/plans                   no        no    no     yes     yes
GET   /sets/<int:set_id>/plans/back              no        yes   yes    yes     yes
POST  /sets/<int:set_id>/plans/back              no        no    no     yes     yes
GET   /sets/<int:set_id>/pulled                  no        yes   yes    yes     yes
POST  /sets/<int:set_id>/pulled                  no        no    yes    yes     yes
GET   /sets/<int:set_id>/pulls                   no        yes   yes    yes     yes
GET   /sets/<int:set_id>/pulls.csv               no        yes   yes    yes     yes
GET   /sets/<int:set_id>/record                  no        yes   yes    yes     yes
POST  /sets/<int:set_id>/restore                 no        no    no     yes     yes
GET   /sets/<int:set_id>/sheet                   no        yes   yes    yes     yes
GET   /sets/<int:set_id>/sources/new             no        no    no     yes     yes
POST  /sets/<int:set_id>/sources/new             no        no    no     yes     yes
GET   /sets/<int:set_id>/spare                   no        yes   yes    yes     yes
POST  /sets/<int:set_id>/spare                   no        no    no     yes     yes
GET   /sets/<int:set_id>/tags                    no        yes   yes    yes     yes
GET   /sets/<int:set_id>/light/asked             no        yes   yes    yes     yes
POST  /sets/<int:set_id>/light/asked             no        no    no     yes     yes
GET   /sets/<int:set_id>/light/scrims            no        yes   yes    yes     yes
POST  /sets/<int:set_id>/light/scrims            no        no    no     yes     yes
GET   /sets/<int:set_id>/together                no        yes   yes    yes     yes
POST  /sets/<int:set_id>/together                no        no    no     yes     yes
GET   /sets/<int:set_id>/whites                  no        yes   yes    yes     yes
POST  /sets/<int:set_id>/whites                  no        no    no     yes     yes
POST  /sets/<int:set_id>/whites/again            no        no    yes    yes     yes
GET   /sets/<int:set_id>/whites/back             no        yes   yes    yes     yes
POST  /sets/<int:set_id>/whites/back             no        no    no     yes     yes
POST  /sets/<int:set_id>/whites/stop             no        no    yes    yes     yes
GET   /sets/import                               no        no    no     yes     yes
POST  /sets/import                               no        no    no     yes     yes
GET   /sets/new                                  no        no    no     yes     yes
POST  /sets/new                                  no        no    no     yes     yes
GET   /sources/<int:source_id>                   no        yes   yes    yes     yes
GET   /sources/<int:source_id>/aim               no        yes   yes    yes     yes
POST  /sources/<int:source_id>/aim               no        no    no     yes     yes
POST  /sources/<int:source_id>/delete            no        no    no     yes     yes
GET   /sources/<int:source_id>/edit              no        no    no     yes     yes
POST  /sources/<int:source_id>/edit              no        no    no     yes     yes
GET   /sources/<int:source_id>/free              no        yes   yes    yes     yes
POST  /sources/<int:source_id>/free              no        no    yes    yes     yes
GET   /sources/<int:source_id>/gel               no        yes   yes    yes     yes
POST  /sources/<int:source_id>/gel               no        no    yes    yes     yes
GET   /sources/<int:source_id>/kind              no        yes   yes    yes     yes
POST  /sources/<int:source_id>/kind              no        no    yes    yes     yes
GET   /sources/<int:source_id>/layer             no        yes   yes    yes     yes
POST  /sources/<int:source_id>/layer             no        no    no     yes     yes
GET   /sources/<int:source_id>/openings          no        no    no     yes     yes
POST  /sources/<int:source_id>/openings          no        no    no     yes     yes
GET   /sources/<int:source_id>/pad               no        yes   yes    yes     yes
GET   /sources/<int:source_id>/reading           no        yes   yes    yes     yes
POST  /sources/<int:source_id>/reading           no        no    yes    yes     yes
POST  /sources/<int:source_id>/restore           no        no    no     yes     yes
GET   /sources/<int:source_id>/take              no        yes   yes    yes     yes
POST  /sources/<int:source_id>/take              no        no    yes    yes     yes
GET   /sources/<int:source_id>/use               no        yes   yes    yes     yes
POST  /sources/<int:source_id>/use               no        no    yes    yes     yes
GET   /sources/<int:source_id>/sheets            no        yes   yes    yes     yes
POST  /sources/<int:source_id>/sheets            no        no    yes    yes     yes
GET   /sources/<int:source_id>/stand             no        yes   yes    yes     yes
POST  /sources/<int:source_id>/stand             no        no    yes    yes     yes
GET   /sources/<int:source_id>/head              no        yes   yes    yes     yes
POST  /sources/<int:source_id>/head              no        no    yes    yes     yes
GET   /sources/<int:source_id>/lamp              no        yes   yes    yes     yes
POST  /sources/<int:source_id>/lamp              no        no    yes    yes     yes
GET   /sources/<int:source_id>/was-on            no        yes   yes    yes     yes
POST  /sources/<int:source_id>/was-on            no        no    yes    yes     yes
GET   /sources/<int:source_id>/work              no        yes   yes    yes     yes
POST  /sources/<int:source_id>/work              no        no    yes    yes     yes
GET   /static/<path:filename>                    yes       yes   yes    yes     yes
GET   /start                                     no        yes   yes    yes     yes
GET   /api/v1/working/<number>                   no        yes   yes    yes     yes
POST  /api/v1/working/<number>/stop              no        yes   yes    yes     yes
GET   /working/<number>                          no        yes   yes    yes     yes
POST  /working/<number>/again                     no        no    yes    yes     yes
POST  /working/<number>/stop                      no        no    yes    yes     yes
GET   /worker.js                                 yes       yes   yes    yes     yes
GET   /texts/<key>                               no        yes   yes    yes     yes
GET   /trust                                    yes       yes   yes    yes     yes
GET   /trust/gel-advisor.crt                    yes       yes   yes    yes     yes
GET   /today                                     no        yes   yes    yes     yes
GET   /tests/<int:test_id>                       no        no    yes    yes     yes
POST  /tests/<int:test_id>                       no        no    yes    yes     yes
GET   /tests/<int:test_id>/sheet                 no        yes   yes    yes     yes
"""
VALUES = {
    "<int:head_id>": "1",
    "<int:test_id>": "1",
    "<int:set_id>": "1",
    "<int:source_id>": "2",
    "<int:number>": "1",
    "<int:reading_id>": "2",
    "<int:change_id>": "3",
    "<int:phone_id>": "99",
    "<path:filename>": "advisor.css",
    "<code>": "not-the-code",
    "<key>": "0",
    "<number>": "0",
}
QUERIES = {"/gels/edit": "?name=CTO+1%2F4"}


class Row(NamedTuple):
    """An address with a method, and the roles that it is open to."""

    method: str
    rule: str
    open_to: frozenset[str]

    def path(self, app):
        path = self.rule.replace("/static", app.static_url_path)
        for name, value in VALUES.items():
            path = path.replace(name, value)
        return path + QUERIES.get(self.rule, "")


def written():
    heading, *lines = TABLE.strip("\n").splitlines()
    assert tuple(heading.split()) == ROLES
    for line in lines:
        method, rule, *says = line.split()
        assert len(says) == len(ROLES) and set(says) <= {"yes", "no"}, line
        yield Row(method, rule, frozenset(r for r, word in zip(ROLES, says, strict=True) if word == "yes"))


ROWS = list(written())


@pytest.fixture
def app(tmp_path):
    app = open_app(tmp_path / "data")
    app.extensions["advisor"].sets.create_set(bakery())
    keep_tested(app.extensions["advisor"].heads)
    app.extensions["people"].lan.trust = Trust(b"a certificate", "AB:CD", 8081)
    return app


@pytest.fixture(params=ROLES)
def role(request):
    return request.param


@pytest.fixture
def browser(app, role):
    """A browser in the role, with the token of a page that it saw."""
    if role == "host":
        return host(app)
    if role != "stranger":
        browser = joined(app, role)
        browser.open("/look")
        return browser
    browser = Browser(app)
    browser.open("/join")
    assert browser.token
    return browser


def turned_away(answer):
    """Tell whether an answer lets nobody in: no right, not joined, or a way to the page to join."""
    way_to_join = answer.status_code == 303 and answer.location.partition("?")[0] == "/join"
    return answer.status_code in (401, 403) or way_to_join


def kept(app):
    state = app.extensions["advisor"]
    sets = [state.sets.get_set(line.id) for line in state.sets.list_sets()]
    return sets, state.gels.in_force(), app.extensions["people"].phones.all()


def last_what_removes(row):
    return row.rule == "/join", row.rule.endswith(("/delete", "/remove"))


def test_every_address_with_each_of_its_methods_stands_in_the_table_once(app):
    there = sorted(
        (method, rule.rule.replace(app.static_url_path, "/static"))
        for rule in app.url_map.iter_rules()
        for method in (rule.methods or set()) - {"HEAD", "OPTIONS"}
    )
    assert sorted((row.method, row.rule) for row in ROWS) == there


def test_pages_are_shown_to_those_of_the_table_and_to_nobody_else(app, role, browser):
    """Each page is asked for by every role in every run; its head alone by one role, or all."""
    for at, row in enumerate(row for row in ROWS if row.method == "GET"):
        for method in ("GET", "HEAD") if role in in_turn(ROLES, at) else ("GET",):
            with browser.ask(method, row.path(app)) as answer:
                assert turned_away(answer) is (role not in row.open_to), (method, row.rule, answer.status)
                if role in row.open_to:
                    # What a scanned code leads to is a page that says that the code is not the one; and no
                    # text was kept under the key.
                    known = row.rule not in ("/join/<code>", "/texts/<key>")
                    assert answer.status_code in (200, 302) or not known, row.rule


def test_what_changes_something_is_taken_from_those_of_the_table_and_from_nobody_else(app, role, browser):
    posts = sorted((row for row in ROWS if row.method == "POST"), key=last_what_removes)
    assert len(posts) > 40
    for row in posts:
        before = None if role in row.open_to else kept(app)
        answer = browser.post(row.path(app))
        assert turned_away(answer) is (role not in row.open_to), (row.rule, answer.status)
        if role in row.open_to:
            assert answer.status_code not in (405, 421, 500), (row.rule, answer.status)
        else:
            assert answer.status_code == (401 if role == "stranger" else 403), (row.rule, answer.status)
            assert kept(app) == before, row.rule


def test_no_other_method_is_taken_from_anybody(app, role, browser):
    """Each is tried by one role in every run, or by all."""
    known = {(row.method, row.rule) for row in ROWS}
    methods = ("GET", "POST", "PUT", "PATCH", "DELETE")
    others = sorted(
        {(row.rule, method) for row in ROWS for method in methods if (method, row.rule) not in known}
    )
    for rule, method in (one for at, one in enumerate(others) if role in in_turn(ROLES, at)):
        headers = {"Origin": browser.base, "X-Token": browser.token}
        path = Row(method, rule, frozenset()).path(app)
        with browser.ask(method, path, headers=headers) as answer:
            if role == "stranger":
                assert turned_away(answer), (method, rule, answer.status)
            else:
                assert answer.status_code == 405, (method, rule, answer.status)


def test_an_address_that_there_is_not_is_told_to_those_who_joined_alone(app, role, browser):
    for method, path in (("GET", "/nothing"), ("POST", "/nothing"), ("POST", "/api/v1/nothing")):
        headers = {"Origin": browser.base, "X-Token": browser.token}
        answer = browser.ask(method, path, headers=headers)
        assert turned_away(answer) if role == "stranger" else answer.status_code == 404, (method, path)


@pytest.mark.parametrize("path", ["/api/v1/advice", "/api/v1/prediction"])
def test_a_program_that_names_no_origin_has_to_have_joined_too(app, role, browser, path):
    """The API takes requests without Origin and token, from those who joined."""
    answer = browser.ask("POST", path, json={})
    assert answer.status_code == (401 if role == "stranger" else 422)
