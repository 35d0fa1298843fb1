"""A walk-round done on paper and keyed in: its own times, its own list, the sheet's photo, nothing answered for it."""

from __future__ import annotations

import io
import re
from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from PIL import Image

from gyrewright.desk import clock
from gyrewright.desk.book.models import Photo
from gyrewright.desk.book.reading import find_records
from gyrewright.desk.book.writing import append_one
from gyrewright.desk.services import paper_walks, state
from gyrewright.desk.services.paper_walks import list_mark
from gyrewright.desk.services.records import new_id
from gyrewright.desk.services.walk_lists import keep_list
from gyrewright.finding import Verdict
from gyrewright.inspection.lists import fingerprint, items_for, shipped_list

AIRCRAFT = "N0-101D"
EVENT = "each flight"
TODAY = shipped_list("walk-round")
PATH = "/walk/paper/N0-101D/walk-round"


def photo(color=(120, 90, 60)):
    held = io.BytesIO()
    Image.new("RGB", (60, 80), color).save(held, "JPEG")
    return SimpleUploadedFile("sheet.jpg", held.getvalue(), content_type="image/jpeg")


def items(walk_list=TODAY, event=EVENT):
    definition = state.machine(AIRCRAFT, clock.now()).aircraft.definition
    return items_for(walk_list, event=event, equipment=definition.equipment)


def filled(**changes):
    """Return a sheet on which everything is as it should be, as it is keyed in at 07:00 on the demonstration's day."""
    given = {
        "id": new_id(),
        "on": "2027-06-12",
        "began": "05:20",
        "ended": "05:55",
        "walked_by": ["sunde", ""],
        "read_out_by": "",
        "photo": photo(),
    }
    given |= {f"a.{item.id}": "as it should be" for item in items()}
    given |= changes
    return {key: value for key, value in given.items() if value is not None}


def key_in(client, mark=None, event=EVENT, **changes):
    asked = f"{PATH}?mark={mark or list_mark(TODAY)}&event={event.replace(' ', '+')}"
    return client.post(asked, filled(**changes))


def walks():
    return [each for each in find_records(about=AIRCRAFT, kinds=("walk",)) if each.act.asked]


def said(answer):
    found = re.search(r'role="alert">(.*?)</p>', answer.content.decode(), re.S)
    return found.group(1).replace("&#x27;", "'").replace("&quot;", '"') if found else ""


@pytest.fixture
def client(demo_day, person_at):
    return person_at("sunde")


def test_it_works(client):
    answer = key_in(client)
    assert answer.status_code == 302, said(answer)
    (walk,) = walks()
    act = walk.act
    zone = state.zone()
    assert walk.done_at == act.ended_at == datetime(2027, 6, 12, 5, 55, tzinfo=zone)
    assert act.began_at == datetime(2027, 6, 12, 5, 20, tzinfo=zone)
    assert abs(walk.entered_at - clock.now()) < timedelta(minutes=1)
    assert (act.kind, act.list, act.revision, act.complete) == (EVENT, "walk-round", TODAY.revision, True)
    assert act.walked_by == ("sunde",)
    assert act.fingerprint == TODAY.fingerprint
    assert len(act.answers) == len(items())
    assert Photo.objects.filter(fingerprint=act.photos[0]).exists()
    assert act.from_paper == f"sheet {list_mark(TODAY)}"
    assert answer.url == reverse("record", args=[walk.id])
    assert client.get(answer.url).status_code == 200


def test_it_counts_from_when_it_was_done_and_the_restore_list_with_it(client):
    key_in(client)
    book = state.machine(AIRCRAFT, clock.now()).aircraft.walks
    walk = next(each for each in book.walks if each.id == walks()[0].id)
    assert walk.ended_at == datetime(2027, 6, 12, 5, 55, tzinfo=state.zone())
    assert walk.doubt == ""
    assert {item for item, _ in walk.restored} == {item.id for item in items() if item.of}


def test_the_page_answers_nothing_beforehand(client):
    page = client.get(PATH, {"mark": list_mark(TODAY), "event": EVENT}).content.decode()
    assert page.count('type="radio"') == 3 * len(items())
    assert " checked" not in page
    assert 'value="2027' not in page
    for item in items():
        assert f'name="a.{item.id}"' in page


def test_an_item_without_an_answer_leaves_the_walk_unfinished_and_is_not_filled_in(client):
    assert key_in(client, **{"a.A05": None}).status_code == 302
    act = walks()[0].act
    assert not act.complete
    assert "A05" not in {each.item for each in act.answers}


def test_what_is_not_right_needs_its_words_and_stops_the_flight(client, flight_at):
    from gyrewright.desk.services.answers import answered

    answer = key_in(client, **{"a.A05": "not"})
    assert answer.status_code == 400
    assert "A05 is not as it should be: write what the sheet says of it" in said(answer)
    assert walks() == []
    assert key_in(client, **{"a.A05": "not", "w.A05": "nut without its pin"}).status_code == 302
    found = answered(state.flight(flight_at("06:30"), clock.now()), clock.now())
    about = [each for each in found.answer.findings if each.id == "inspection.answer" and each.about == "A05"]
    assert [each.verdict for each in about] == [Verdict.STOP]


def test_readings_keep_their_unit_and_the_dipped_fuel_counts_for_the_flight(client):
    stick = next(item for item in items() if any(each.key == "stick" for each in item.readings))
    answer = key_in(client, **{f"r.{stick.id}.stick": "38,5"})
    assert answer.status_code == 302, said(answer)
    walk = walks()[0]
    assert walk.act.readings[f"{stick.id}.stick"] == "38.5 L"
    measured = [
        each for each in find_records(about=AIRCRAFT, kinds=("fuel-measured",)) if each.entered_at == walk.entered_at
    ]
    assert [(each.act.by_what, each.act.aboard, each.done_at) for each in measured] == [
        ("stick", "38.5 L", walk.act.ended_at)
    ]


def test_a_reading_that_nobody_believes_is_asked_about_and_everything_typed_is_still_there(client):
    answer = key_in(client, event="first of the day", **{"r.B04.pressure": "250 bar", "w.Z01": "as written"})
    page = answer.content.decode()
    assert answer.status_code == 400
    assert "250 bar is not believed of nose-tire pressure" in said(answer)
    assert 'value="250 bar"' in page
    assert 'value="05:20"' in page
    assert page.count(" checked") >= len(items())
    assert walks() == []


def test_the_photo_of_a_refused_try_is_kept_and_not_asked_for_again(client):
    page = key_in(client, began="nine").content.decode()
    kept = re.search(r'name="kept" value="([0-9a-f]+)"', page).group(1)
    assert key_in(client, photo=None, kept=kept).status_code == 302
    assert walks()[0].act.photos == (kept,)


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"photo": None}, "add a photo of the sheet"),
        ({"photo": SimpleUploadedFile("sheet.jpg", b"no picture")}, "this file is no photo that can be read"),
        ({"walked_by": [""]}, "say who walked"),
        ({"walked_by": ["nobody"]}, "the book knows nobody by 'nobody'"),
        ({"began": "8 o'clock"}, "write the day and both times"),
        ({"ended": "23:00"}, "still to come by this clock"),
        ({"on": "2026-06-12"}, "more than 31 days ago; check the year"),
        ({"a.Q01": "as it should be"}, "Q01 is no item of this sheet"),
        ({"a.A05": "fine"}, "A05: 'fine' is no answer"),
        ({"break.1.from": "05:30", "break.1.on": "away"}, "a break needs from and to"),
    ],
)
def test_what_does_not_read_is_one_message_and_nothing_is_kept(client, changes, words):
    answer = key_in(client, **changes)
    assert answer.status_code == 400
    assert words.casefold() in said(answer).casefold()
    assert "Nothing was recorded" in answer.content.decode()
    assert walks() == []


def test_a_break_is_kept_with_what_was_begun_again(client):
    given = {"from": "05:30", "to": "05:33", "on": "spoken to", "item": "a05", "restarted": "stand"}
    assert key_in(client, **{f"break.1.{key}": value for key, value in given.items()}).status_code == 302
    (one,) = walks()[0].act.interruptions
    assert (one.on, one.zone, one.restarted) == ("spoken to", "A", "stand")


def test_the_same_sheet_sent_twice_is_kept_once(client):
    id = new_id()
    first, again = key_in(client, id=id, photo=photo()), key_in(client, id=id, photo=photo())
    assert (first.status_code, again.status_code) == (302, 302)
    assert len({each.id for each in walks()}) == 1


# --- which list the sheet is of ---


def older():
    """Return the list as it may have been before today's: one item fewer, another revision."""
    fewer = replace(TODAY, revision=TODAY.revision + 7, items=tuple(each for each in TODAY.items if each.id != "A05"))
    return replace(fewer, fingerprint=fingerprint(fewer))


def test_a_sheet_of_a_list_that_nobody_here_had_is_refused(client):
    answer = client.get(PATH, {"mark": "9-00000000", "event": EVENT})
    assert answer.status_code == 400
    assert f"No list here is marked '9-00000000'; today's is {list_mark(TODAY)}" in said(answer)


def test_a_sheet_of_an_older_list_that_the_book_kept_is_a_walk_of_that_list_and_does_not_count_as_todays(client):
    entry = keep_list(older())
    append_one(entry)
    mark = list_mark(older())
    page = client.get(PATH, {"mark": mark, "event": EVENT}).content.decode()
    assert "of an older list" in page
    assert 'name="a.A05"' not in page
    answer = key_in(client, mark=mark, **{"a.A05": None})
    assert answer.status_code == 302, said(answer)
    act = walks()[0].act
    assert (act.revision, act.fingerprint, act.complete) == (older().revision, older().fingerprint, True)
    book = state.machine(AIRCRAFT, clock.now()).aircraft.walks
    assert next(each for each in book.walks if each.id == walks()[0].id).doubt == "old_list"


def test_an_older_list_that_asked_for_more_counts(client):
    more = replace(TODAY, revision=TODAY.revision + 8, name="Walk-round, longer")
    append_one(keep_list(replace(more, fingerprint=fingerprint(more))))
    assert key_in(client, mark=list_mark(replace(more, fingerprint=fingerprint(more)))).status_code == 302
    book = state.machine(AIRCRAFT, clock.now()).aircraft.walks
    assert next(each for each in book.walks if each.id == walks()[0].id).doubt == ""


def test_a_kept_list_comes_back_as_it_was(client):
    append_one(keep_list(TODAY))
    assert paper_walks._kept_list("walk-round", list_mark(TODAY)) == TODAY


def test_the_code_on_the_sheet_opens_the_page(client):
    defined = find_records(about=AIRCRAFT, kinds=("aircraft-defined",))[-1]
    answer = client.get(f"/W/{defined.hash[:20].upper()}")
    assert answer.url == PATH
    page = client.get(answer.url).content.decode()
    assert "Revision, as printed in the foot" in page


def test_a_visitor_from_outside_keys_in_nothing(demo_day, book_visitor):
    assert book_visitor.get(PATH).status_code == 403


@pytest.fixture
def book_visitor(demo_day, person_at):
    from datetime import date

    from gyrewright.desk.services.people import add_person, give_role

    add_person(id=new_id(), person="vane", name="Ida Vane", by="okafor-lind")
    give_role(
        id=new_id(),
        person="vane",
        role="visitor",
        from_on=date(2027, 6, 1),
        until=date(2027, 6, 30),
        by="okafor-lind",
    )
    from gyrewright.desk.services.accounts import open_account, passing_word

    open_account(name="vane", person="vane", password=passing_word(), by="okafor-lind")
    return person_at("vane")


# --- the scenario: done at 09:12, entered at 13:00 ---


def test_a13_the_sheet_is_the_record_done_at_nine_twelve_entered_at_one_with_its_photo(demo_day, person_at):
    clock.start(demo_at=datetime(2027, 6, 12, 20, 0, tzinfo=UTC))
    assert key_in(person_at("sunde"), began="08:55", ended="09:12").status_code == 302
    (walk,) = walks()
    zone = state.zone()
    assert f"{walk.done_at.astimezone(zone):%H:%M}" == "09:12"
    assert f"{walk.entered_at.astimezone(zone):%H:%M}" == "13:00"
    assert len(walk.act.photos) == 1
    shown = person_at("sunde").get(reverse("record", args=[walk.id])).content.decode()
    assert "09:12" in shown
    assert "13:00" in shown


def test_a13_the_sheets_revision_is_compared_with_the_aircrafts_list_of_today(client):
    test_a_sheet_of_a_list_that_nobody_here_had_is_refused(client)
    test_a_sheet_of_an_older_list_that_the_book_kept_is_a_walk_of_that_list_and_does_not_count_as_todays(client)
