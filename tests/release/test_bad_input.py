"""Bad input: each mistake gets one clear line with its place and cure, all mistakes at once, and nothing is used."""

import re
from dataclasses import replace

import pytest

from gyrewright.errors import DefinitionError
from gyrewright.finding import Verdict
from gyrewright.release.decide import decide
from gyrewright.release.files import check_files, read_question
from kit.files import DEMO, demo, good_day
from scenarios.fixture import finding

FLIGHT = "flights/0630-sunde-halloran.toml"
AIRCRAFT, OPERATION, FIELD, PEOPLE = "aircraft/dunlin.toml", "operation.toml", "field.toml", "people.toml"


def files():
    return demo("0630-sunde-halloran", "dunlin")


def person(data, id):
    return next(each for each in data["person"] if each["id"] == id)


def set_at(*place, value):
    def change(data):
        for key in place[:-1]:
            data = data[key]
        data[place[-1]] = value

    return change


def without_key(*place):
    def change(data):
        for key in place[:-1]:
            data = data[key]
        del data[place[-1]]

    return change


MISTAKES = {
    "an unknown key": (AIRCRAFT, set_at("color", value="red"), "color: is an unknown key; accepted here: "),
    "a slip in a key": (
        AIRCRAFT,
        set_at("weighing", "empty_mas", value="286 kg"),
        "weighing.empty_mas: .* did you mean",
    ),
    "a table with a hole": (
        AIRCRAFT,
        lambda data: data["table"]["climb"]["rows"][0].pop(),
        "table.climb.rows: mass 420 kg: 4 values along density altitude, which has 5 points",
    ),
    "a table with a word in it": (
        AIRCRAFT,
        set_at("table", "climb", "rows", 0, 1, value="750"),
        "table.climb.rows: mass 420 kg, density altitude 2000 ft: '750' is no number; write what the manual prints",
    ),
    "axis points that fall": (
        AIRCRAFT,
        set_at("table", "climb", "axis", 1, "points", value=["0 ft", "2000 ft", "1000 ft", "6000 ft", "8000 ft"]),
        "table.climb.rows: density altitude: .* points must rise",
    ),
    "a report from the future": (
        FLIGHT,
        set_at("weather", "reports", value=["METAR X0TB 121410Z 18003KT 10SM CLR 09/02 A2980"]),
        r"weather.reports\[1\]: is of 12 Jun 2027 14:10 UTC, after 12 Jun 2027 06:16 -0700 when this is asked; check",
    ),
    "a forecast from the future": (
        FLIGHT,
        set_at("weather", "forecasts", value=["TAF X0TB 121720Z 1218/1318 20012KT P6SM SKC"]),
        r"weather.forecasts\[1\]: was issued 12 Jun 2027 17:20 UTC, after .* check both clocks",
    ),
    "no weather report": (
        FLIGHT,
        set_at("weather", "reports", value=["fine and warm"]),
        r"weather.reports\[1\]: ",
    ),
    "a runway without a heading": (
        FIELD,
        without_key("runway", 1, "heading"),
        r"runway\[25\].heading: is missing; write it with its unit \(deg\)",
    ),
    "a heading without a reference": (
        FIELD,
        without_key("runway", 1, "reference"),
        r"runway\[25\].reference: is missing; write ",
    ),
    "two runways of one name": (
        FIELD,
        set_at("runway", 0, "name", value="25"),
        "runway: '25' is described more than once; keep one table for each direction",
    ),
    "a person of 750 kg": (
        PEOPLE,
        lambda data: person(data, "sunde")["mass"].update(value="750 kg"),
        r"person\[sunde\].mass.value: '750 kg' is outside 20.0 to 250.0 kg; check number and unit",
    ),
    "two people of one name": (
        PEOPLE,
        lambda data: data["person"].append(dict(person(data, "sunde"))),
        r"person\[sunde\].id: 'sunde' is given twice",
    ),
    "a bare number": (
        FLIGHT,
        set_at("fuel", "gauge", value=40),
        r"fuel.gauge: 40 has no unit; write it as text with its unit \(L, US gal, Imp gal, US qt\)",
    ),
    "a number in quotes without a unit": (
        FLIGHT,
        set_at("fuel", "gauge", value="40"),
        "fuel.gauge: '40' has no unit; add one",
    ),
    "an ambiguous unit": (
        FLIGHT,
        set_at("fuel", "gauge", value="10 gal"),
        "fuel.gauge: '10 gal' is ambiguous; write 'US gal' or 'Imp gal'",
    ),
    "a unit of another kind": (
        FLIGHT,
        set_at("fuel", "gauge", value="40 kg"),
        "fuel.gauge: volume cannot be read in 'kg'",
    ),
    "a comma": (FLIGHT, set_at("fuel", "gauge", value="40,5 L"), "fuel.gauge: '40,5 L' is no volume; write a number"),
    "a slip of unit": (
        AIRCRAFT,
        set_at("fuel", "arm", value="2150 m"),
        "fuel.arm: '2150 m' is outside -10.000 to 10.000 m; check number and unit",
    ),
    "a station twice": (
        AIRCRAFT,
        lambda data: data["station"].append(dict(data["station"][0])),
        r"station\[front\].id: 'front' is there twice; each station has a name of its own",
    ),
    "a limit on no station": (
        AIRCRAFT,
        set_at("limit", 1, "on", value=["middle"]),
        r"limit\[load\].on: 'middle' is no station; use: baggage, front, rear",
    ),
    "a wind limit that does not say what it counts": (
        OPERATION,
        without_key("house", "limit", 0, "counts"),
        r'house.limit\[wind\].counts: is missing; write "gust" or "mean"',
    ),
    "a limit that says nothing": (
        OPERATION,
        without_key("house", "limit", 0, "at_most"),
        r"house.limit\[wind\]: says no limit",
    ),
    "a limit on nothing known": (
        OPERATION,
        set_at("house", "limit", 0, "of", value="turbulence"),
        r"house.limit\[turbulence\].of: 'turbulence' is not one of: ",
    ),
    "scales that do not add up": (
        AIRCRAFT,
        set_at("weighing", "empty_mass", value="276.0 kg"),
        "weighing.empty_mass: 276.0 kg is not the 286.00 kg that the scales add up to",
    ),
    "limits of the balance that cross": (
        AIRCRAFT,
        set_at("envelope", "forward", 0, 1, value="2282 mm"),
        "envelope: at 340 kg the forward limit 2.282 m lies behind the aft limit 2.202 m; were the two exchanged",
    ),
    "a moment without an offset": (
        FLIGHT,
        lambda data: data.update(asked_at=data["asked_at"].replace(tzinfo=None)),
        "asked_at: 2027-06-12T06:16:00 has no offset from UTC; add one",
    ),
    "a moment as text": (
        FLIGHT,
        set_at("asked_at", value="this morning"),
        "asked_at: 'this morning' is not a moment; write",
    ),
    "no start": (FLIGHT, without_key("time", "depart"), "time.depart: is missing; write date, time and offset"),
    "an unknown purpose": (FLIGHT, set_at("purpose", value="joyride"), "purpose: 'joyride' is not one of: instruction"),
    "an unknown person": (
        FLIGHT,
        set_at("seats", "rear", value="wren"),
        "seats.rear: nobody is called 'wren'; use 'empty' or one of: ",
    ),
    "an unknown person present": (
        FLIGHT,
        set_at("present", value=["sunde", "wren"]),
        "present: nobody is called 'wren'; use: ",
    ),
    "a very long value": (
        FLIGHT,
        set_at("purpose", value="x" * 3000),
        r"purpose: 'x{59}\.\.\. \(3002 characters\) is not one of: ",
    ),
    "an unknown seat": (
        FLIGHT,
        lambda data: data["seats"].update(middle="empty"),
        "seats.middle: is no seat of N0-101D; use",
    ),
    "an unknown place for load": (
        FLIGHT,
        set_at("loads", "ballast", value="4 kg"),
        "loads.ballast: is no place for load in N0",
    ),
    "an unknown aircraft": (FLIGHT, set_at("aircraft", value="N0-999X"), "aircraft: 'N0-999X' is not one of: N0-101D"),
    "a time zone that is none": (
        FIELD,
        set_at("time_zone", value="Merrow/Basin"),
        "time_zone: 'Merrow/Basin' is no time zone",
    ),
    "a latitude without its side": (
        FIELD,
        set_at("latitude", value="43.95"),
        "latitude: '43.95' is not degrees and N or S",
    ),
    "a gust below the wind": (
        FLIGHT,
        lambda data: data["weather"]["row"][0].update(wind="9 kt", gust="6 kt", wind_from="180 deg", reference="true"),
        r"weather.row\[1\].gust: 6 kt is less than the wind, 9 kt; were the two exchanged",
    ),
    "two rows for one time": (
        FLIGHT,
        lambda data: data["weather"]["row"].append(dict(data["weather"]["row"][0])),
        "weather.row: 2027-06-12T06:30:00-07:00 is there twice; write one row for each time",
    ),
    "an altimeter setting in the wrong unit": (
        FLIGHT,
        lambda data: data["weather"]["row"][0].update(altimeter="29.80 hPa"),
        r"weather.row\[1\].altimeter: '29.80 hPa' is outside 900 to 1080 hPa",
    ),
    "a flag in quotes": (
        AIRCRAFT,
        set_at("fuel", "unusable_in_empty_mass", value="yes"),
        "fuel.unusable.*: 'yes' is not true",
    ),
    "no operation": (FLIGHT, without_key("operation"), "operation: is missing; write a text in quotes"),
    "no aircraft in the operation": (
        OPERATION,
        set_at("aircraft", value=[]),
        "aircraft: names no file; list the aircraft's",
    ),
    "an empty list of people": (PEOPLE, set_at("person", value=[]), "person: there is nobody; describe each person"),
}


def is_well_said(line):
    """Whether a line names its file, begins low after the place, and ends without a full stop."""
    file, _, rest = line.partition(": ")
    return file.endswith(".toml") and "\n" not in line and not line.endswith(".") and rest[:1] == rest[:1].lower()


@pytest.mark.parametrize("mistake", MISTAKES)
def test_each_mistake_gets_one_line_with_its_place_and_cure(mistake):
    path, change, says = MISTAKES[mistake]
    lines = files().changed(path, change).problems()
    assert len(lines) == 1, lines
    assert re.match(f"{re.escape(path)}: {says}", lines[0]), lines[0]
    assert is_well_said(lines[0])


def test_all_mistakes_in_all_files_come_at_once():
    wrong = files()
    chosen = [
        "a bare number",
        "an unknown key",
        "a runway without a heading",
        "a person of 750 kg",
        "a table with a hole",
    ]
    chosen += ["a limit that says nothing"]
    for mistake in chosen:
        path, change, _ = MISTAKES[mistake]
        wrong = wrong.changed(path, change)
    lines = wrong.problems()
    assert len(lines) == len(chosen)
    for mistake in chosen:
        path, _, says = MISTAKES[mistake]
        assert sum(bool(re.match(f"{re.escape(path)}: {says}", line)) for line in lines) == 1


@pytest.mark.parametrize("path", [FLIGHT, OPERATION, FIELD, PEOPLE, AIRCRAFT])
def test_a_broken_file_is_one_line_with_the_line_in_it_and_nothing_of_it_is_used(path):
    whole = files()
    text = whole.texts[path]
    broken = whole.with_text(path, text + "\nthis is = = no toml\n")
    lines = broken.problems()
    assert len(lines) == 1
    assert re.match(rf"{re.escape(path)}: is not readable as TOML: .*\(at line \d+, column \d+\)", lines[0])


@pytest.mark.parametrize("path", [FLIGHT, OPERATION, FIELD, PEOPLE, AIRCRAFT])
def test_a_file_of_the_wrong_kind_is_one_line(path):
    kind = "field" if path != FIELD else "people"
    lines = files().changed(path, lambda data: data.update(kind=kind)).problems()
    (line,) = lines
    assert re.match(rf"{re.escape(path)}: kind: '{kind}' is not the \w+ file that is looked for here", line)


@pytest.mark.parametrize("path", [OPERATION, FIELD, PEOPLE, AIRCRAFT])
def test_a_missing_file_is_one_line(path):
    whole = files()

    def fetch(asked):
        if asked == path:
            raise FileNotFoundError(2, "No such file or directory")
        return whole.fetch(asked)

    with pytest.raises(DefinitionError) as caught:
        read_question(FLIGHT, fetch)
    assert [str(each) for each in caught.value.problems] == [
        f"{path}: cannot be read: No such file or directory; check the path"
    ]


def test_a_path_that_no_system_takes_is_one_line():
    (line,) = files().changed(OPERATION, set_at("field", value="fie\0ld.toml")).problems()
    assert line == "'fie\\x00ld.toml': cannot be read: embedded null byte; check the path"


def test_a_file_that_is_no_text_is_one_line(tmp_path):
    place = tmp_path / "people.toml"
    place.write_bytes(b'kind = "people"\nname = "\xff\xfe"\n')
    whole = files()

    def fetch(path):
        return place.read_text(encoding="utf-8") if path == PEOPLE else whole.fetch(path)

    with pytest.raises(DefinitionError) as caught:
        read_question(FLIGHT, fetch)
    assert [str(each) for each in caught.value.problems] == [f"{PEOPLE}: is not text; write it as UTF-8"]


def test_two_records_for_one_serial_number_are_one_line():
    both = demo("0630-sunde-halloran", "dunlin", "whimbrel")
    wrong = both.changed("aircraft/whimbrel.toml", lambda data: data.update(serial_number="D2-0101"))
    (line,) = wrong.problems()
    assert line == (
        "aircraft/whimbrel.toml: serial_number: 'D2-0101' stands in aircraft/dunlin.toml too; "
        "one serial number, one record"
    )
    same = both.changed("aircraft/whimbrel.toml", lambda data: data.update(id="N0-101D"))
    assert same.problems() == [f"{FLIGHT}: aircraft: 'N0-101D' is described by more than one file"]


def test_a_clock_set_to_last_year_makes_dates_unknown_and_names_what_is_newer():
    def last_year(data):
        data["asked_at"] = data["asked_at"].replace(year=2026)

    asked = files().changed(FLIGHT, last_year).answer()
    clock = finding(asked, "clock.order")
    assert (clock.verdict, clock.why, clock.lacking) == (Verdict.UNKNOWN, "behind", ("clock",))
    assert clock.params["newest_at"].year == 2027
    assert asked.verdict >= Verdict.UNKNOWN
    asked = decide(replace(files().question(), clock_doubt="the clock went back two hours since the last record"))
    assert finding(asked, "clock.order").why == "jumped"
    assert asked.verdict is Verdict.UNKNOWN


def test_a_reading_of_ones_own_from_the_future_is_one_line():
    later = good_day().changed(
        "flight.toml",
        lambda data: data["weather"]["observation"].update(at=data["asked_at"].replace(hour=9)),
    )
    (line,) = later.problems()
    assert line.startswith("flight.toml: weather.observation.at: is after 14 Jul 2027 08:30 -0500 when this is asked")


def test_nobody_says_when_it_is_asked():
    silent = files().changed(FLIGHT, lambda data: data.pop("asked_at"))
    assert silent.problems() == [f"{FLIGHT}: asked_at: nobody says when this is asked; write asked_at, or give a time"]
    stated = files().data[FLIGHT]["asked_at"]
    assert silent.question(now=stated).asked_at == stated
    assert files().question(asked_at=stated.replace(minute=20)).asked_at == stated.replace(minute=20)
    assert files().question(now=stated.replace(minute=25)).asked_at == stated


def test_checking_files_says_what_each_is_or_everything_that_is_wrong():
    paths = [AIRCRAFT, OPERATION, FIELD, PEOPLE, FLIGHT]
    assert check_files(paths, files().fetch) == tuple(
        f"{path}: {kind}"
        for path, kind in zip(paths, ("aircraft", "operation", "field", "people", "flight"), strict=True)
    )
    wrong = files()
    for mistake in ("an unknown key", "a runway without a heading", "a person of 750 kg"):
        path, change, _ = MISTAKES[mistake]
        wrong = wrong.changed(path, change)
    with pytest.raises(DefinitionError) as caught:
        check_files([*paths, "nowhere.toml"], wrong.with_text("nowhere.toml", "=").fetch)
    assert [each.file for each in caught.value.problems] == [AIRCRAFT, FIELD, PEOPLE, "nowhere.toml"]


def test_the_shipped_files_have_no_mistake():
    paths = [str(path.relative_to(DEMO)) for path in sorted(DEMO.rglob("*.toml"))]
    assert len(check_files(paths, lambda path: (DEMO / path).read_text())) == len(paths)
