"""A06: the same shimmy for the third time, "nothing found" twice by somebody who may not say so."""

from dataclasses import replace

import pytest

from gyrewright.finding import Verdict
from scenarios.fixture import Flight, all_against, answer, finding

BOOKS = "g1-records.toml"
WORDS = {"2027-05-18": "nose wheel shimmies", "2027-06-05": "shimmy again, worse", "2027-06-12": "still there"}


def reports(closer="I2", third_closer="", first="2027-05-18"):
    out = []
    for number, (told, words) in enumerate(WORDS.items(), start=1):
        day = first if number == 1 else told
        by = closer if number < 3 else third_closer
        act = f'{{ kind = "closed", at = {day}T18:00:00-05:00, by = "{by}", words = "ground check OK" }}' if by else ""
        out.append(
            f'{{ id = "N-{number}", item = "nose wheel", symptom = "shimmy", words = "{words}", '
            f'at = {day}T10:00:00-05:00, by = "S1", act = [{act}] }}'
        )
    return (BOOKS, "defect = []", f"defect = [{', '.join(out)}]")


FLIGHT = Flight(asked_at="2027-06-18T10:00:00-05:00", edits=(reports(),))


def test_the_third_report_stops_the_flight():
    asked = answer(FLIGHT)
    assert asked.verdict is Verdict.STOP
    assert all_against(asked) == {"maintenance.repeated", "maintenance.defect", "rule.us.91.405"}


def test_all_three_reports_stand_together_with_words_and_dates_and_m1_is_needed():
    found = finding(answer(FLIGHT), "maintenance.repeated")
    assert (found.value, found.limit, found.params["days"]) == (3, 3, 60)
    for day, words in WORDS.items():
        assert f"{day} S1: {words}" in found.params["reports"]
    assert found.params["closers"] == ("I2",)
    (cure,) = found.cures
    assert cure.who == "M1"


def test_the_two_closings_are_void():
    found = {each.about: each for each in answer(FLIGHT).findings if each.id == "maintenance.defect"}
    for id in ("N-1", "N-2"):
        assert (found[id].verdict, found[id].why) == (Verdict.STOP, "void")
        assert found[id].params["closed_by"] == "I2"
    assert found["N-3"].why == "open"


@pytest.mark.parametrize(
    ("closer", "third", "verdict"), [("M2", "M1", "GO"), ("M2", "M2", "STOP"), ("I2", "M1", "STOP")]
)
def test_closed_counts_only_for_who_closed_it(closer, third, verdict):
    asked = answer(replace(FLIGHT, edits=(reports(closer=closer, third_closer=third),)))
    assert asked.verdict.code == verdict


def test_sixty_days_are_counted():
    # 12 June is the 60th day after 13 April and the 61st after 12 April.
    edits = (reports(closer="M2", third_closer="M2", first="2027-04-13"),)
    assert answer(replace(FLIGHT, edits=edits)).verdict is Verdict.STOP
    edits = (reports(closer="M2", third_closer="M2", first="2027-04-12"),)
    assert answer(replace(FLIGHT, edits=edits)).verdict is Verdict.GO
