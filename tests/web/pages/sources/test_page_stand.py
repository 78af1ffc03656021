"""A distance chosen on Ask for light: kept with the head, ticked, undone, and done with once it is read."""

import pytest

from advisor.model import Exposure, LightSet, Reading, Role, Source, StandMove, Target

NEAR = "0.7 × as far"
"""One stop short: at 0.707 of the distance it gives twice as much, by the inverse square."""


@pytest.fixture
def key(stores):
    """A key with half the light that f/2.8 wants: 163.2 lx by ISO 2720:1974."""
    read = Reading(cct=3200, duv=0, lux=81.6)
    source = Source(name="Key", kind="led-white", role=Role.KEY, reading=read)
    exposure = Exposure(iso=800, frame_rate=24, constant=340)
    made = LightSet(name="Stage", target=Target(cct=3200), sources=[source], exposure=exposure)
    set_id = stores.sets.create_set(made)
    return stores.sets.get_set(set_id).sources[0].id


@pytest.fixture
def owner(key, stores):
    return stores.sets.get_source(key).set_id


@pytest.fixture
def ask(key, owner, post, stores):
    """Plan the light in one of its ways."""

    def plan(way):
        chosen = {"f_number": "2.8", f"way_{key}": way, "revision": str(stores.sets.get_set(owner).revision)}
        return post(f"/sets/{owner}/light/asked", chosen)

    return plan


@pytest.fixture
def planned(ask):
    return ask("distance")


@pytest.fixture
def tick(key, post, stores):
    def press(action):
        revision = stores.sets.get_source(key).revision
        return post(f"/sources/{key}/stand", {"action": action, "revision": str(revision)})

    return press


@pytest.fixture
def stand(key, stores):
    return lambda: stores.sets.get_source(key).source.stand


def test_it_is_kept_and_told_on_the_head_the_board_and_the_work_order(key, owner, planned, get, stand):
    assert stand().times == pytest.approx(0.5**0.5)
    assert not stand().done
    text = get(f"/sources/{key}").text
    assert f"Move it to {NEAR} About 163 lx there." in text.replace("\N{NO-BREAK SPACE}", " ")
    assert f"move it to {NEAR}" in get(f"/sets/{owner}").text
    order = get(f"/sets/{owner}/order").text
    assert f"move it to {NEAR}" in order and "Start: Key" in order
    assert "1 move on 1 head" in order


def test_it_is_ticked_and_then_to_be_metered(key, owner, planned, get, tick, stand):
    assert f"Moved to {NEAR}. Meter it there." in tick("done").text
    assert stand().done
    assert "Moved, meter it" in get(f"/sources/{key}").text
    assert f"move it to {NEAR}" not in get(f"/sets/{owner}/order").text


def test_the_next_reading_is_of_where_it_stands(key, planned, tick, stand, stores):
    tick("done")
    stores.sets.add_reading(key, Reading(cct=3200, duv=0, lux=160))
    assert stand() is None


def test_a_reading_before_it_was_moved_leaves_the_order(key, planned, stand, stores):
    stores.sets.add_reading(key, Reading(cct=3200, duv=0, lux=82))
    assert stand() is not None


def test_a_slip_of_the_thumb_is_taken_back(owner, planned, tick, stand, get, stores):
    tick("done")
    tick("back")
    assert not stand().done
    tick("stays")
    assert stand() is None
    assert "not to move to 0.7" in get(f"/sets/{owner}/record").text
    stores.sets.undo(stores.sets.history(owner)[-1].id)
    assert stand() is not None


def test_all_of_a_plan_goes_back_at_one_tap(owner, planned, post, stand):
    post(f"/sets/{owner}/plans/back", {"done": planned.fields["done"]})
    assert stand() is None


def test_a_way_without_a_distance_takes_an_order_off(ask, planned, stand):
    ask("gel")
    assert stand() is None


def test_what_was_moved_already_is_not_asked_for_again(ask, planned, tick, stand):
    tick("done")
    ask("distance")
    assert stand().done


def test_a_distance_in_metres_is_told_as_such(key, get, stores):
    stores.sets.change_source(key, {"stand": StandMove(times=0.7, distance=2.1)})
    assert "Move it to 2.1 m" in get(f"/sources/{key}").text


def test_the_record_rounds_a_distance_as_pages_do(key, owner, get, stores):
    """A head that was tested at 3 m gives twice the light at 3 / √2 m, by the inverse square."""
    stores.sets.change_source(key, {"stand": StandMove(times=0.5**0.5, distance=3 * 0.5**0.5)})
    assert "Move it to 2.12 m" in get(f"/sources/{key}").text
    assert "to move to 2.12 m" in get(f"/sets/{owner}/record").text


def test_what_a_stand_cannot_do_is_refused(planned, tick):
    page = tick("fly")
    assert page.status == 422
    assert "is not a step for a stand" in page.text


@pytest.fixture
def moved(planned, tick):
    """The key has been moved to 0.707 of its distance, and was not metered there."""
    tick("done")


HERE = "163"
"""81.6 lx at 0.707 of the distance, by the inverse square: 163.2 lx, to three figures."""


def test_light_is_told_for_where_it_stands(key, owner, moved, get):
    page = get(f"/sources/{key}").text
    assert f"about {HERE}" in page and "Its lux was read before the move." in page
    light = get(f"/sets/{owner}/light").text
    assert f"about {HERE}" in light and "Read before the move: Key. Meter it there." in light
    assert "f/2.8" in light


def test_what_is_asked_goes_by_the_light_where_it_stands(owner, key, moved, get):
    page = get(f"/sets/{owner}/light/asked?f_number=2.8").text
    assert "You get f/2.8" in page and "Its lux was read before the move." in page
    assert "Move it" not in page and "move it" not in page


def test_asked_on_from_there_it_goes_from_there(key, owner, moved, post, stand, stores):
    """For f/4 the key has to give twice 163.2 lx, so it goes to 0.707 of where it stands now."""
    revision = str(stores.sets.get_set(owner).revision)
    post(f"/sets/{owner}/light/asked", {"f_number": "4", f"way_{key}": "distance", "revision": revision})
    source = stores.sets.get_source(key).source
    assert stand().times == pytest.approx(0.5**0.5, rel=0.01) and not stand().done
    assert source.stands_as_far == pytest.approx(0.5**0.5)


def test_once_it_is_metered_there_nothing_is_about(key, owner, moved, get, stores):
    stores.sets.add_reading(key, Reading(cct=3200, duv=0, lux=150))
    page = get(f"/sources/{key}").text
    assert "150" in page and "about 150" not in page and "before the move" not in page
    assert "before the move" not in get(f"/sets/{owner}/light").text


def test_colour_read_there_leaves_its_light_about(key, moved, get, stores):
    stores.sets.add_reading(key, Reading(cct=3200, duv=0))
    page = get(f"/sources/{key}").text
    assert f"about {HERE}" in page and "Its lux was read before the move." in page


def test_it_is_to_be_metered_again_where_what_was_read_there_is_struck_out(key, moved, get, stores):
    number = stores.sets.add_reading(key, Reading(cct=3200, duv=0, lux=150))
    stores.sets.strike(number)
    page = get(f"/sources/{key}").text
    assert "Moved, meter it" in page and f"about {HERE}" in page


def test_what_was_read_before_the_move_confirms_nothing_after_it(key, owner, get, gelled, stores, tick):
    """Read behind its gel, then moved and read bare: the gel's light is to be read again where it stands."""
    stores.sets.update_set(owner, target=Target(cct=2970))
    gelled(done=False)
    assert "Meter it again" not in get(f"/sources/{key}").text
    stores.sets.change_source(key, {"stand": StandMove(times=0.7)})
    tick("done")
    stores.sets.add_reading(key, Reading(cct=3200, duv=0, lux=160))
    page = get(f"/sources/{key}").text
    assert "Read before it was moved: read it again" in page
    assert "Meter it again" in page


@pytest.fixture
def gelled(key, post, stores):
    """Hang ⅛ CTO on the key, and say how the stand is to move, or has been moved."""
    revision = stores.sets.get_source(key).revision
    hung = {"action": "hung", "stack": '{"gels": ["CTO 1/8"]}', "revision": revision}
    post(f"/sources/{key}/work", hung)
    assert stores.sets.get_source(key).source.work.predicted.lux

    def move(done, times=0.7):
        stores.sets.change_source(key, {"stand": StandMove(times=times, done=done)})
        return post(f"/sources/{key}/reading", {"cct": "2970", "duv": "0", "lux": "140", "behind": "hung"})

    return move


def test_light_behind_gel_is_held_against_light_of_the_same_place(key, gelled, get):
    gelled(done=False, times=0.4)  # there it would be a stop and a half brighter than that
    assert "brighter than predicted" in get(f"/sources/{key}").text


def test_once_it_was_moved_light_is_not_held_against_that_of_the_old_place(key, gelled, get, stores):
    gelled(done=True)
    source = stores.sets.get_source(key).source
    assert source.stand is None and source.work.read_behind.lux == 140
    page = get(f"/sources/{key}").text
    assert "2 970 K" in page
    assert "brighter" not in page and "as bright" not in page


@pytest.fixture
def read(key, post):
    """Save a reading as the page of the head does."""

    def save(lux, **more):
        return post(f"/sources/{key}/reading", {"cct": "3200", "duv": "0", "lux": str(lux), **more})

    return save


def test_a_reading_of_where_it_was_to_go_is_taken_as_moved(key, owner, planned, read, get, stores):
    """163.2 lx was told for there and 81.6 lx was read here: 165 lx is of there, and is counted once."""
    page = read(165).text
    assert "Taken as moved to 0.7 × as far before this reading, by its light." in page.replace("\xa0", " ")
    source = stores.sets.get_source(key).source
    assert (source.stand, source.reading.lux) == (None, 165)
    assert source.reading.as_far == source.as_far == pytest.approx(0.5**0.5)
    assert "330" not in page and "Move it" not in page
    assert "f/2.8" in get(f"/sets/{owner}/light").text
    assert "taken as moved to 0.7 × as far, by its light" in get(f"/sets/{owner}/record").text


def test_that_it_was_moved_is_taken_back(key, planned, read, tick, get, stores, stand):
    read(165)
    page = tick("unmoved")
    assert f"Move it to {NEAR}" in page.text.replace("\xa0", " ")
    source = stores.sets.get_source(key).source
    assert (source.reading.lux, source.reading.as_far, source.stands_as_far) == (165, 1, 1)
    assert not stand().done and not stand().by_light
    tick("unmoved")
    assert len([r for r in stores.sets.readings_of(key) if not r.struck]) == 2, "there is nothing left to do"


@pytest.mark.parametrize("lux", [82, 110, 250])
def test_a_reading_that_may_be_of_either_place_leaves_the_order(planned, read, stand, lux):
    """110 lx is 0.4 stop from here and 0.6 from there; 250 lx is 0.6 stop from there."""
    read(lux)
    assert stand() is not None and not stand().done


def test_behind_gel_it_is_held_against_what_was_predicted_for_there(key, gelled, post, get, stores):
    """Predicted at its old place, and read as bright as that is at 0.7 of the distance."""
    predicted = stores.sets.get_source(key).source.work.predicted.lux
    stores.sets.change_source(key, {"stand": StandMove(times=0.7)})
    there = {"cct": "2970", "duv": "0", "lux": str(round(predicted / 0.49)), "behind": "hung"}
    page = post(f"/sources/{key}/reading", there).text
    source = stores.sets.get_source(key).source
    assert source.work.read_behind.as_far == source.as_far == pytest.approx(0.7)
    assert "brighter than predicted" not in page
    post(
        f"/sources/{key}/stand", {"action": "unmoved", "revision": str(stores.sets.get_source(key).revision)}
    )
    source = stores.sets.get_source(key).source
    assert source.work.read_behind.as_far == source.stands_as_far == 1
    assert "brighter than predicted" in get(f"/sources/{key}").text


def test_by_the_api_it_is_taken_as_moved_too(key, owner, planned, client, stores):
    """163.2 lx was told for there: what a program sends is of there as much as what a page sends."""
    sent = client.post(f"/api/v1/sets/{owner}/sources/1/readings", json={"cct": 3200, "duv": 0, "lux": 165})
    assert sent.status_code == 200
    source = stores.sets.get_source(key).source
    assert (source.stand, source.reading.lux) == (None, 165)
    assert source.reading.as_far == source.stands_as_far == pytest.approx(0.5**0.5)


def paste(post, owner, *lux):
    """Paste readings of the key with so much light each, and save them."""
    rows = [f"Key,3200,0,{one}" for one in lux]
    shown = post(f"/sets/{owner}/paste", {"text": "\n".join(["name,CCT,Duv,lux", *rows])})
    ticks = dict(shown.ticked)
    return post(f"/sets/{owner}/paste", {**shown.fields, **ticks, "save": "yes"})


def test_a_paste_is_taken_as_moved_too(key, owner, planned, post, get, stores):
    paste(post, owner, 165)
    source = stores.sets.get_source(key).source
    assert (source.stand, source.reading.lux) == (None, 165)
    assert source.reading.as_far == source.stands_as_far == pytest.approx(0.5**0.5)
    assert "taken as moved to 0.7 × as far, by its light" in get(f"/sets/{owner}/record").text


def test_a_paste_of_both_places_leaves_the_order(key, owner, planned, post, stand, stores):
    """Which of its lines was read before the move nobody can tell."""
    paste(post, owner, 82, 165)
    assert stand() is not None and not stand().done
    assert stores.sets.get_source(key).source.stands_as_far == 1


def test_a_paste_behind_gel_is_held_against_what_was_predicted_for_there(key, owner, gelled, post, stores):
    predicted = stores.sets.get_source(key).source.work.predicted.lux
    stores.sets.change_source(key, {"stand": StandMove(times=0.7)})
    shown = post(f"/sets/{owner}/paste", {"text": f"name,CCT,Duv,lux\nKey,2970,0,{predicted / 0.49:.0f}"})
    assert shown.fields["behind"] == "hung"
    post(f"/sets/{owner}/paste", {**shown.fields, **dict(shown.ticked), "save": "yes"})
    source = stores.sets.get_source(key).source
    assert source.work.read_behind.as_far == source.stands_as_far == pytest.approx(0.7)
