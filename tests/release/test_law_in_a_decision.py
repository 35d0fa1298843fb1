"""The law in a whole decision: texts that change on a day, two countries that never mix, and nothing that improves."""

from dataclasses import replace
from datetime import date, datetime, timedelta
from functools import cache
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from gyrewright.errors import DefinitionError
from gyrewright.finding import Verdict, Whose
from gyrewright.people.roles import entitled
from gyrewright.reading import Problems, section_of
from gyrewright.release.decide import decide
from gyrewright.release.files import read_books, read_crew
from kit.files import DEMO, Files, at_place, files_of, places, with_value, without, written
from release.two_laws import FLIGHTS, LAWS, law_limit, of_law, pack, page, under
from scenarios.fixture import HERE, Flight, answer, filled

ROOT = Path(__file__).parent.parent.parent


# --- one rule with two dated texts ---

# An insurer who speaks of every day, so that the law's day alone makes the difference.
INSURED = ("people.toml", "from = 2027-01-01\nuntil = 2027-12-31", "from = 2024-01-01\nuntil = 2029-12-31")
SPORT_REVIEW = ("people.toml", 'review_scope = "full"', 'review_scope = "sport"')


def on(day, *edits, **changes):
    return answer(Flight(asked_at=f"{day}T10:30:00-05:00", edits=(INSURED, *edits), **changes))


def found(asked, id):
    return [each for each in asked.findings if each.id == f"rule.{id}"]


@pytest.mark.parametrize(
    ("day", "verdict"), [("2026-04-09", "GO"), ("2026-04-10", "STOP"), ("2026-04-11", "STOP"), ("2027-04-10", "STOP")]
)
def test_a_review_under_sport_privileges_serves_others_until_the_text_of_10_april_2026(day, verdict):
    (review,) = found(on(day, SPORT_REVIEW), "us.61.56")
    assert review.verdict.code == verdict


def test_the_day_decides_about_the_whole_flight_and_the_finding_names_its_text():
    before, after = on("2026-04-09", SPORT_REVIEW), on("2026-04-10", SPORT_REVIEW)
    assert (before.verdict, after.verdict) == (Verdict.GO, Verdict.STOP)
    old, new = found(before, "us.61.56")[0], found(after, "us.61.56")[0]
    assert old.source.section == "14 CFR 61.56(c)"
    assert "InFO 26006" in new.source.section
    assert on("2026-04-10").verdict is Verdict.GO


NO_LANDINGS = (
    "people.toml",
    """
[[person.landings]]
on = DAY_AGO_5
aircraft = "G1"
aircraft_class = "rotorcraft gyroplane"
take_offs = 6
landings = 6
sole = true
night = false
full_stop = true

[[person.landings]]
on = DAY_AGO_6
aircraft = "G2"
aircraft_class = "rotorcraft gyroplane"
take_offs = 4
landings = 4
sole = true
night = false
full_stop = true
""",
    "\nlandings = []\n",
)


def test_a_learner_became_a_person_aboard_on_2_december_2024():
    def recency(day):
        old = ("people.toml", "taught = []\n", "taught = []\nlandings = []\n")
        gone = (NO_LANDINGS[0], NO_LANDINGS[1], "")
        return found(on(day, old, gone), "us.61.57.day")

    assert recency("2024-12-01") == []
    (new,) = recency("2024-12-02")
    assert new.verdict is Verdict.STOP


def test_the_flights_local_day_picks_the_text_and_not_the_day_in_greenwich():
    # 19:30 on 9 April at the field is 00:30 of the 10th in Greenwich.
    late = Flight(asked_at="2026-04-09T17:30:00-05:00", edits=(INSURED, SPORT_REVIEW))
    same = replace(late, asked_at="2026-04-10T00:30:00+02:00")
    assert found(answer(late), "us.61.56")[0].verdict is Verdict.GO
    assert found(answer(same), "us.61.56")[0].verdict is Verdict.GO


# --- two countries ---


@pytest.mark.parametrize("flight", FLIGHTS)
@pytest.mark.parametrize("law", LAWS)
def test_no_rule_of_one_country_is_asked_in_the_other(flight, law):
    (other,) = set(LAWS) - {law}
    asked = under(flight, law)
    ids = {each.id for each in asked.findings if each.id.startswith("rule.")}
    assert ids
    assert all(id.startswith(f"rule.{law}.") for id in ids)
    scopes = {layer.limit.scope for each in asked.findings for layer in each.layers if layer.limit.whose is Whose.LAW}
    assert not any(scope.startswith(f"{other}.") for scope in scopes)


@pytest.mark.parametrize("flight", FLIGHTS)
def test_switching_back_and_forth_changes_nothing(flight):
    question = under(flight, "us").situation.question
    first, other, again = (decide(replace(question, pack=pack(law))) for law in ("us", "velmark", "us"))
    assert first.findings == again.findings
    assert first.cautions == again.cautions
    assert [each.id for each in other.findings] != [each.id for each in first.findings]


@pytest.mark.parametrize("flight", FLIGHTS)
def test_what_no_law_asks_is_found_alike_under_both(flight):
    def rest(law):
        ignored = {"fuel.enough", "weather.visibility"}
        return {
            (each.id, each.about, each.why, each.verdict)
            for each in under(flight, law).findings
            if not each.id.startswith("rule.") and each.id not in ignored
        }

    assert rest("us") == rest("velmark")


def test_the_two_laws_differ_where_their_folders_do():
    us, velmark = (under("0630-sunde-halloran", law) for law in LAWS)
    assert (us.verdict, velmark.verdict) == (Verdict.GO, Verdict.STOP)
    assert (law_limit(us, "fuel.enough"), law_limit(velmark, "fuel.enough")) == ("at least 20 min", "at least 45 min")
    stopped = {each.id for each in of_law(velmark) if each.verdict is Verdict.STOP}
    assert stopped == {"rule.velmark.hours", "rule.velmark.review"}
    hours = next(each for each in of_law(velmark) if each.id == "rule.velmark.hours")
    assert hours.params["due_h"] == pytest.approx(446.0)  # 50 h after 396.0, and no over-run


def test_every_answer_says_that_the_current_text_governs():
    for law in LAWS:
        assert under("0630-sunde-halloran", law).situation.question.pack.reminder
    assert "current text governs" in pack("us").reminder


def test_the_page_of_two_laws_is_current():
    """Write it again with what `release.two_laws.page` returns."""
    assert (ROOT / "docs" / "two-laws.md").read_text(encoding="utf-8") == page()


# --- nothing improves ---

RECORDS = {"dunlin": "aircraft/dunlin-records.toml", "sanderling": "aircraft/sanderling-records.toml"}
ADVERSE = {"defect", "event", "work", "marker", "phone", "touch", "booking", "interruption", "answer", "decision"}
"""Records that tell of something wrong, or of flying still to come: without them an answer may well be better."""


def only(files, *aircraft):
    def change(operation):
        operation["aircraft"] = [f"aircraft/{each}.toml" for each in aircraft]

    return files.changed("operation.toml", change)


@cache
def case(name) -> Files:
    if name == "good day":
        flight = Flight()
        asked = datetime.fromisoformat(flight.asked_at)

        def fetch(path):
            return flight.text() if path == "flight.toml" else filled((HERE / path).read_text(), asked)

        paths = ("operation.toml", "field.toml", "people.toml", "g1.toml", "g1-program.toml", "g1-records.toml")
        files = files_of("flight.toml", fetch, paths)
        return files.changed("operation.toml", lambda data: data.update(aircraft=["g1.toml"]))
    flight, aircraft = name
    paths = ("operation.toml", "field.toml", "people.toml", f"aircraft/{aircraft}.toml")
    paths += (f"aircraft/{aircraft}-program.toml", f"aircraft/{aircraft}-records.toml")
    return only(files_of(f"flights/{flight}.toml", lambda path: (DEMO / path).read_text(), paths), aircraft)


CASES = ("good day", ("0630-sunde-halloran", "dunlin"), ("table-0630-dunlin-solo-25", "dunlin"))
CASES += (("1900-halloran-alone", "sanderling"),)


@cache
def base(name):
    return case(name).answer()


def is_no_better(name, files):
    """Whether files are refused, or answered no better than before they were changed."""
    try:
        return files.answer().verdict >= base(name).verdict
    except DefinitionError:
        return True


def is_no_better_with(name, path, data):
    """The same where only books or people differ: nothing else is read again."""
    question, problems = base(name).situation.question, Problems()
    if path == "people.toml" and not crew(name) <= {person["id"] for person in data["person"]}:
        return True  # a flight of somebody who is not in the file is refused
    section = section_of(written(data), file=path, problems=problems)
    section.raw("kind")
    if path == "people.toml":
        people, insurance = read_crew(section)
        now = replace(question, people=people, insurance=insurance, entitled=entitled(people))
    else:
        records, walks = read_books(section)
        now = replace(question, aircraft=replace(question.aircraft, records=records, walks=walks))
    return bool(problems.found) or decide(now).verdict >= base(name).verdict


def named(files, kind):
    return next((path for path in files.data if path.endswith(kind)), "")


def crew(name):
    return set(base(name).situation.sheet.value("crew_people"))


def entries(name, data):
    """Yield the place of every entry of every list of tables, but those of people who have no part in the flight."""
    for place in places(data):
        if place[0] == "person" and len(place) > 1 and data["person"][place[1]]["id"] not in crew(name):
            continue
        if isinstance(place[-1], int) and isinstance(at_place(data, place), dict) and place[-2] not in ADVERSE:
            yield place


@pytest.mark.parametrize("name", CASES, ids=str)
def test_no_record_paper_landing_endorsement_or_reading_is_there_in_vain(name):
    files = case(name)
    for path in (named(files, "records.toml"), "people.toml"):
        for place in entries(name, files.data[path]):
            if "limit" in place or "no" in place:
                continue
            assert is_no_better_with(name, path, without(files.data[path], place)), (path, place)


def older(value, days):
    """Return a table with everything dated in it so much longer ago."""
    if isinstance(value, dict):
        return {key: older(each, days) for key, each in value.items()}
    if isinstance(value, list):
        return [older(each, days) for each in value]
    return value - timedelta(days=days) if isinstance(value, date) else value


@pytest.mark.parametrize(("name", "days"), [*((each, 800) for each in CASES), ("good day", 31)], ids=str)
def test_no_record_improves_by_growing_old(name, days):
    files = case(name)
    for path in (named(files, "records.toml"), "people.toml"):
        for place in entries(name, files.data[path]):
            aged = older(at_place(files.data[path], place), days)
            assert is_no_better_with(name, path, with_value(files.data[path], place, aged)), (path, place)


WITHOUT_IT_A_NOTE = {"flow_avoided", "instructor_scope_stated"}
ASKED_ONLY_IF = {
    "same_provider",
    "aircraft_advertised",
    "aircraft_charge",
    "flight_within_country",
    "limits_require_rating",
    "position_lights_working",
    "night_flight_authorized",
    "aircraft_vh",
    "aircraft_engine",
    "flight_for_hire",
    "registration_until_on",
}
"""What a rule looks at only where something else makes it matter, such as the end of a temporary registration."""


@pytest.mark.parametrize("name", CASES, ids=str)
def test_nothing_said_to_the_law_has_a_default(name):
    """Without a word of a [law] table the answer is no better; and where it stays as it was, nothing asked for it."""
    files = case(name)
    facts = base(name).situation.sheet.facts
    for path, data in files.data.items():
        for key in data.get("law", {}):
            changed = files.with_data(path, without(data, ("law", key)))
            now = changed.answer()
            assert now.verdict >= base(name).verdict, (path, key)
            if now.findings == base(name).findings:
                stated = [fact for fact in facts if fact == key or fact.startswith(f"{key}_")]
                not_asked = all(fact in base(name).not_needed for fact in stated)
                assert not_asked or key in ASKED_ONLY_IF or key in WITHOUT_IT_A_NOTE, (path, key)


@pytest.mark.parametrize("name", CASES, ids=str)
@pytest.mark.parametrize("table", ["people", "unweighed", "maintenance", "walk"])
def test_a_house_that_says_nothing_of_a_room_makes_no_answer_better(name, table):
    files = case(name)
    changed = files.with_data("operation.toml", without(files.data["operation.toml"], ("house", table)))
    assert is_no_better(name, changed)


@pytest.mark.parametrize("name", CASES, ids=str)
def test_the_order_of_records_does_not_matter(name):
    def turned(value):
        if isinstance(value, dict):
            return {key: turned(each) for key, each in value.items()}
        if isinstance(value, list) and value and all(isinstance(each, dict) for each in value):
            return [turned(each) for each in reversed(value)]
        return value

    files = case(name)
    for path in (named(files, "records.toml"), "people.toml"):
        files = files.with_data(path, turned(files.data[path]))
    now = files.answer()
    assert now.verdict is base(name).verdict
    assert {(each.id, each.about, each.why, each.verdict) for each in now.findings} == {
        (each.id, each.about, each.why, each.verdict) for each in base(name).findings
    }


@pytest.mark.parametrize("name", CASES, ids=str)
def test_a_stricter_house_never_relaxes(name):
    files = case(name)
    for number, limit in enumerate(files.data["operation.toml"]["house"]["limit"]):
        key = next((key for key in ("at_most", "at_least") if key in limit), "")
        if not key or limit["of"] == "cautions":
            continue
        amount, unit = limit[key].split()
        stricter = float(amount) * (0.9 if key == "at_most" else 1.1)
        place = ("house", "limit", number, key)
        changed = with_value(files.data["operation.toml"], place, f"{stricter:g} {unit}")
        assert is_no_better(name, files.with_data("operation.toml", changed)), limit


@settings(max_examples=30, deadline=None)
@given(
    name=st.sampled_from(CASES),
    item=st.sampled_from(["radio", "nose wheel", "coolant", "landing lamp"]),
    kinds=st.lists(st.sampled_from(["assessed", "deferred", "closed", "reopened"]), max_size=3),
    by=st.sampled_from(["M1", "I2", "arrowood", "sunde"]),
    class_=st.sampled_from(["G", "L", "N"]),
    hours=st.integers(0, 2000),
)
def test_one_more_defect_never_improves(name, item, kinds, by, class_, hours):
    files = case(name)
    asked = base(name).computed_at
    at = asked - timedelta(hours=hours)
    acts = [
        {
            "kind": kind,
            "at": at + timedelta(minutes=number),
            "by": by,
            **({"class": class_} if kind == "assessed" else {}),
            **({"until": (asked + timedelta(days=3)).date()} if kind == "deferred" else {}),
        }
        for number, kind in enumerate(kinds)
    ]
    more = {"id": "MORE", "item": item, "at": at, "by": "S1", "act": acts}
    path = named(files, "records.toml")
    changed = files.changed(path, lambda data: data["defect"].append(more))
    assert is_no_better(name, changed)


@pytest.mark.parametrize("name", CASES, ids=str)
def test_one_open_defect_stops(name):
    files = case(name)
    at = base(name).computed_at - timedelta(hours=1)
    open_ = {"id": "MORE", "item": "radio", "at": at, "by": "S1"}
    changed = files.changed(named(files, "records.toml"), lambda data: data["defect"].append(open_))
    assert changed.answer().verdict is Verdict.STOP
