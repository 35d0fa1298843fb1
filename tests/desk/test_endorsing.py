"""Entering an endorsement: by whoever gave the training, or copied from its signed page."""

from __future__ import annotations

import pytest
from django.urls import reverse

from gyrewright.desk import clock
from gyrewright.desk.book.reading import find_records
from gyrewright.desk.services import standing, state
from gyrewright.finding import Verdict
from kit.desk import client_of, held, words

TEXT = "I certify that Juno Castellane has met the training for solo in the Dunlin D2-96."
GIVEN = {
    "what_for": "solo",
    "make_model": "Dunlin D2-96",
    "text": TEXT,
    "given_by": "sunde",
    "given_on": "2027-06-12",
    "rests_on": "2027-06-11",
    "gave_training": "yes",
    "limit.wind": "10 kt",
    "limit.crosswind": "6 kt",
    "counts": "gust",
}


def address(person="castellane", **query):
    tail = "&".join(f"{key}={value}" for key, value in query.items())
    return reverse("person-enter", args=[person, "endorsement"]) + (f"?{tail}" if tail else "")


def against_solo(person, model):
    rows = dict(standing.standing_of(person, state.asking_at()).rows)
    alone = next(rows[each] for each in rows if each.name == "student alone")
    return next(row for row in alone if any(each.make_model == model for each in row.aircraft))


def test_it_works(demo_day):
    client = client_of("sunde")
    assert any("no endorsement" in each for each in against_solo("castellane", "Dunlin D2-96").reasons)
    form = held(client.get(address()))
    # Who writes and the day are there; nothing else is filled in.
    assert (form["given_by"], form["given_on"]) == ("sunde", "2027-06-12")
    assert not any(form[name] for name in ("what_for", "make_model", "text", "rests_on", "limit.wind", "counts"))
    answer = client.post(address(), GIVEN)
    assert (answer.status_code, answer.url) == (302, reverse("person", args=["castellane"]))
    said = words(client.get(answer.url))
    assert f"Solo, Dunlin D2-96 : “{TEXT}”" in said or f"Solo, Dunlin D2-96: “{TEXT}”" in said
    assert "Wind at most 10 kt, gusts counted; crosswind at most 6 kt, gusts counted" in said
    assert "Given by Tobiah Sunde on 12 Jun 2027, resting on training of 11 Jun 2027" in said
    assert not any("no endorsement" in each for each in against_solo("castellane", "Dunlin D2-96").reasons)


def test_its_numbers_bind_the_student_alone(demo_day):
    client_of("sunde").post(address(), GIVEN)
    limits = state.folk(clock.now()).people["castellane"].endorsements[-1].limits
    assert [(each.of, each.typed, each.counts) for each in limits] == [
        ("wind", "10 kt", "gust"),
        ("crosswind", "6 kt", "gust"),
    ]


@pytest.mark.parametrize(
    ("change", "status", "says"),
    [
        ({"gave_training": ""}, 400, "you gave the training it rests on"),
        ({"what_for": ""}, 400, "say what it is for"),
        ({"rests_on": ""}, 400, "on which day the training was given"),
        ({"rests_on": "2027-06-14"}, 400, "training comes first"),
        ({"given_on": "2027-06-13"}, 400, "is still to come"),
        ({"given_on": "2027-06-10", "rests_on": "2027-06-09"}, 400, "is written on its own day"),
        ({"limit.wind": "10"}, 400, "10"),
        ({"counts": ""}, 400, "say whether winds count the gust or the mean"),
        ({"text": ""}, 400, "its text, as written is missing"),
        ({"valid_days": "ninety"}, 400, "is no whole number"),
        ({"given_by": "okafor-lind"}, 400, "is copied from its signed page"),
    ],
)
def test_what_does_not_hold_is_refused_in_one_sentence_and_nothing_is_lost(demo_day, change, status, says):
    answer = client_of("sunde").post(address(), {**GIVEN, **change})
    assert says in words(answer, status)
    kept = held(answer)
    for name in ("make_model", "limit.crosswind"):
        assert kept[name] == GIVEN[name]
    assert find_records(about="castellane", kinds=("endorsement",)) == []


def test_nobody_endorses_themself_and_no_student_anybody(demo_day):
    assert client_of("sunde").post(address("sunde"), GIVEN).status_code == 403
    assert client_of("halloran").post(address("halloran"), GIVEN).status_code == 403
    # Another student is not even there for a student.
    assert client_of("halloran").post(address(), GIVEN).status_code == 404


def test_an_endorsement_of_somebody_else_is_copied_from_its_page_with_its_own_day(demo_day):
    given = {
        **GIVEN,
        "given_on": "2027-05-30",
        "rests_on": "2027-05-30",
        "gave_training": "",
        "from_paper": "log 2, page 9",
    }
    assert client_of("okafor-lind").post(address(), given).status_code == 302
    last = find_records(about="castellane", kinds=("endorsement",))[-1]
    assert (last.by, last.act.given_by, last.act.given_on.isoformat()) == ("okafor-lind", "sunde", "2027-05-30")
    assert "From paper: log 2, page 9" in words(client_of("sunde").get(reverse("person", args=["castellane"])))


def test_a_giver_who_could_not_give_it_that_day_is_told(demo_day):
    # Sunde's certificate began on 1 June 2025.
    given = {**GIVEN, "given_on": "2025-05-20", "rests_on": "2025-05-20", "from_paper": "log 2, page 1"}
    said = words(client_of("okafor-lind").post(address(), given), 400)
    assert "Tobiah Sunde could not give an endorsement on 2025-05-20" in said


def test_a_correction_keeps_what_stands_on_no_card(demo_day):
    client = client_of("sunde")
    earlier = find_records(about="halloran", kinds=("endorsement",))[-1]
    assert earlier.act.given_by == "sunde"
    form = client.get(address("halloran", corrects=earlier.id))
    shown = held(form)
    assert (shown["limit.wind"], shown["limit.gust spread"], shown["counts"]) == ("12 kt", "6 kt", "gust")
    given = {
        **shown,
        "corrects": earlier.id,
        "limit.wind": "11 kt",
        "from_paper": "logbook page 12",
        "gave_training": "",
    }
    given["given_on"] = earlier.act.given_on.isoformat()
    # Written on an earlier day, it is no new act of its giver but a copy of the page.
    assert client.post(address("halloran"), given).status_code == 400
    copied = client_of("okafor-lind").post(address("halloran"), given)
    assert copied.status_code == 302, words(copied, copied.status_code)
    held_now = [
        each
        for each in state.folk(clock.now()).people["halloran"].endorsements
        if each.given_on == earlier.act.given_on
    ]
    assert [limit.typed for limit in held_now[0].limits] == ["11 kt", "6 kt", "8 kt"]


def test_a_solo_endorsement_ages_out_on_its_last_day(demo_day):
    row = against_solo("halloran", "Dunlin D2-96")
    assert row.verdict is Verdict.GO
    ends = standing.standing_of("halloran", state.asking_at()).ends
    assert [each.until.isoformat() for each in ends][:2] == ["2027-07-29", "2027-08-22"]
