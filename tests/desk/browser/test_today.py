"""Today in a browser: what changed, a calendar taken in and given out, two truths settled; phone and desk."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest

from gyrewright.desk import clock
from gyrewright.desk.book.kinds.upkeep import DefectReported, MeterRead, Touched
from gyrewright.desk.services.records import new_id, record_act
from kit.browser import DESK, PHONE
from kit.looking import low_contrast, violations

MORNING = datetime(2027, 6, 12, 13, 30, tzinfo=UTC)
DAY = """BEGIN:VCALENDAR
VERSION:2.0
PRODID:-//a calendar//EN
BEGIN:VEVENT
UID:late@calendar
DTSTAMP:20270601T000000Z
DTSTART;TZID=America/Los_Angeles:20270612T163000
DTEND;TZID=America/Los_Angeles:20270612T173000
SUMMARY:N0-101D trial lesson
END:VEVENT
END:VCALENDAR
""".replace("\n", "\r\n")


@pytest.fixture(scope="module")
def changed(make_desk):
    """A desk at which things were done to the aircraft since they flew, and two records tell two truths."""

    def prepare(folder):
        clock.start(demo_at=MORNING)
        record_act(act=Touched(what="refueled", fuel="20 L"), by="arrowood", about="N0-202W")
        record_act(act=DefectReported(item="K08", symptom="stiff"), by="arrowood", about="N0-303S")
        id = new_id()
        for shows, by in (("488.0 h", "sunde"), ("489.0 h", "vale")):
            record_act(id=id, act=MeterRead(meter="rotor", shows=shows), by=by, about="N0-101D")

    return make_desk(prepare=prepare)


def test_today_on_a_phone_says_what_changed_and_leads_to_the_record(changed, visitor):
    sunde = visitor(changed, "sunde", width=PHONE)
    shown = sunde.page.locator("section", has=sunde.page.locator("#changed"))
    told = " ".join(shown.inner_text().split())
    assert "Refueled 20 L, Pell Arrowood" in told
    assert "Defect reported: K08, stiff, Pell Arrowood" in told
    assert (violations(sunde.page), low_contrast(sunde.page)) == ([], [])
    # An instructor is told of it; the record itself is not theirs to open, so no link leads there.
    assert shown.locator("li li a").count() == 0
    assert sunde.page.evaluate("document.documentElement.scrollWidth") == PHONE
    arrowood = visitor(changed, "arrowood", width=PHONE)
    arrowood.touch(arrowood.page.locator("#changed ~ ul li li", has_text="Defect reported").get_by_role("link"))
    assert "K08" in arrowood.words


def test_a_calendar_is_taken_in_and_a_booking_of_it_asked_for(changed, visitor):
    sunde = visitor(changed, "sunde", width=DESK)
    sunde.touch("Take in bookings from a calendar")
    file = {"name": "day.ics", "mimeType": "text/calendar", "buffer": b"no calendar at all"}
    sunde.page.get_by_label("Calendar file").set_input_files(file)
    sunde.touch("Take it in")
    sunde.allow("status of 400")
    assert "Nothing was taken in" in sunde.words
    sunde.page.get_by_label("Calendar file").set_input_files({**file, "buffer": DAY.encode()})
    sunde.touch("Take it in")
    assert "Taken in: 1 new, 0 changed, 0 cancelled." in sunde.words
    assert (violations(sunde.page), low_contrast(sunde.page)) == ([], [])
    sunde.touch("Today")
    booked = sunde.page.locator("section", has=sunde.page.locator("#booked"))
    assert "16:30 to 17:30, N0-101D: N0-101D trial lesson" in booked.inner_text()
    sunde.touch(booked.get_by_role("link", name="Ask for this flight"))
    assert sunde.page.get_by_label("Start", exact=False).first.input_value() == "16:30"


def test_the_day_is_given_out_as_a_file_without_anybodys_name(changed, visitor):
    sunde = visitor(changed, "sunde", width=DESK)
    with sunde.page.expect_download() as coming:
        sunde.page.get_by_role("link", name="These flights as a calendar file").click()
    text = coming.value.path().read_text()
    assert coming.value.suggested_filename.endswith(".ics")
    assert text.count("BEGIN:VEVENT") == 5
    for name in ("Sunde", "Halloran", "Okafor", "kg"):
        assert name not in text


def test_whoever_knows_says_which_of_two_truths_counts(changed, visitor):
    arrowood = visitor(changed, "arrowood", width=PHONE)
    arrowood.touch("Which is true?")
    assert "488.0 h" in arrowood.words
    assert "489.0 h" in arrowood.words
    assert (violations(arrowood.page), low_contrast(arrowood.page)) == ([], [])
    assert arrowood.page.evaluate("document.documentElement.scrollWidth") == PHONE
    arrowood.touch(arrowood.page.get_by_label("As Tobiah Sunde entered it"))
    arrowood.touch("This is true")
    arrowood.go("/today/")
    assert "Two records say different things" not in arrowood.words
