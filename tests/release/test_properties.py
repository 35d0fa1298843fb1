"""What holds of every answer: what makes a flight harder never makes its answer better, and much else never matters."""

from copy import deepcopy
from dataclasses import replace
from datetime import datetime, timedelta

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from gyrewright.finding import Verdict
from gyrewright.units import DIMENSIONS, to_unit
from kit.files import demo, good_day
from kit.verdicts import improves, told
from scenarios.fixture import KT, ROOMS, Flight, Row, answer, finding

ASKED = datetime.fromisoformat("2027-07-14T08:30:00-05:00")
PEOPLE = ["I1", "I2", "E1", "S1", "S2", "S3", "S4", "S5", "N1"]
few = settings(max_examples=25)


def row(wind=(250, 8, None), **more):
    return Row((ASKED - timedelta(minutes=12)).isoformat(), wind=wind, **more)


@st.composite
def winds(draw):
    mean = draw(st.integers(0, 25))
    gust = draw(st.none() | st.integers(mean, mean + 15))
    return draw(st.integers(1, 360)), mean, gust


@st.composite
def flights(draw):
    """Draw a flight of the fixture: any pair, wind, temperature, pressure, fuel, runway and length."""
    student, instructor = draw(st.sampled_from(PEOPLE[3:8])), draw(st.sampled_from(PEOPLE[:2]))
    return Flight(
        seats={"front": student, "rear": instructor},
        parts={"commander": instructor, "instructor": instructor, "student": student},
        present=(instructor,),
        runway=draw(st.sampled_from(["09", "27", "18", "36"])),
        fuel_l=draw(st.integers(5, 64)),
        block_h=draw(st.sampled_from([0.3, 0.7, 1.0, 1.6])),
        loads={"ballast": f"{draw(st.integers(0, 20))} kg"},
        observed=row(
            draw(winds()),
            temperature=f"{draw(st.integers(-5, 42))} C",
            altimeter=f"{draw(st.integers(985, 1035))} hPa",
        ),
        take_offs=draw(st.sampled_from(["first only", "throughout"])),
    )


def with_weather(flight, **changes):
    return replace(flight, observed=replace(flight.observed, **changes))


def never_better(easier, harder):
    before, after = answer(easier), answer(harder)
    assert not improves(before.verdict, after.verdict)
    return told(before), told(after)


# --- harder is never better -------------------------------------------------------------------------------------------


MADE_WORSE_BY_MASS = {
    *("loading.take_off_mass", "loading.landing_mass", "performance.climb", "performance.take_off_distance")
}


@few
@given(flights(), st.floats(0.5, 30.0))
def test_more_mass_never_helps_mass_distance_or_climb(flight, more_kg):
    person = flight.seats["rear"]
    mass = {"I1": 88, "I2": 96}[person]
    heavier = replace(
        flight,
        edits=(("people.toml", f'mass = {{ value = "{mass} kg"', f'mass = {{ value = "{mass + more_kg:.3f} kg"'),),
    )
    before, after = told(answer(flight)), told(answer(heavier))
    for id, about in before:
        if id in (
            "loading.take_off_mass",
            "loading.landing_mass",
            "performance.climb",
            "performance.take_off_distance",
        ):
            assert not improves(before[id, about], after[id, about])
    assert not improves(before["loading.load", "rear"], after["loading.load", "rear"])


@few
@given(flights(), st.integers(1, 300))
def test_less_runway_never_helps(flight, less_m):
    length = "760 m" if flight.runway in ("09", "27") else "420 m"
    shorter = f"{int(length[:-2]) - less_m} m"
    assume(int(shorter[:-2]) >= 20)
    edit = ("field.toml", f'length = "{length}"', f'length = "{shorter}"')
    never_better(flight, replace(flight, edits=(edit,)))


@few
@given(flights(), st.integers(1, 20))
def test_a_stronger_gust_never_helps(flight, more_kt):
    direction, mean, gust = flight.observed.wind
    stronger = (gust if gust is not None else mean) + more_kt
    never_better(flight, with_weather(flight, wind=(direction, mean, stronger)))


@few
@given(flights(), st.integers(1, 20), st.sampled_from([90, -90]))
def test_more_wind_straight_across_never_helps(flight, more_kt, side):
    _, mean, gust = flight.observed.wind
    across = (int(flight.runway) * 10 + side) % 360 or 360
    before = with_weather(flight, wind=(across, mean, gust))
    more = (across, mean + more_kt, None if gust is None else gust + more_kt)
    never_better(before, with_weather(flight, wind=more))


@few
@given(flights(), st.integers(1, 20))
def test_more_tailwind_never_helps(flight, more_kt):
    _, mean, gust = flight.observed.wind
    behind = (int(flight.runway) * 10 + 180) % 360 or 360
    before = with_weather(flight, wind=(behind, mean, gust))
    more = (behind, mean + more_kt, None if gust is None else gust + more_kt)
    never_better(before, with_weather(flight, wind=more))


@few
@given(flights(), st.integers(1, 20))
def test_hotter_never_helps(flight, more_k):
    celsius = int(flight.observed.temperature[:-2])
    never_better(flight, with_weather(flight, temperature=f"{celsius + more_k} C"))


@few
@given(flights(), st.integers(1, 4000))
def test_higher_never_helps(flight, more_ft):
    edit = ("field.toml", 'elevation = "2150 ft"', f'elevation = "{2150 + more_ft} ft"')
    never_better(flight, replace(flight, edits=(edit,)))


@few
@given(flights(), st.integers(1, 40))
def test_lower_pressure_never_helps(flight, less_hpa):
    hpa = int(flight.observed.altimeter[:-4])
    never_better(flight, with_weather(flight, altimeter=f"{hpa - less_hpa} hPa"))


@few
@given(st.integers(0, 16 * 60), st.integers(1, 300))
def test_later_toward_sunset_never_helps_before_dark(first_min, later_min):
    def before_sunset(minutes):
        flight = Flight(depart=(ASKED + timedelta(minutes=minutes)).isoformat(), block_h=0.5)
        return told(answer(flight))["light.before_sunset", ""]

    # The fixture's day: asked at 08:30, sunset a little after 21:30.
    assume(first_min + later_min < 15 * 60)
    assert not improves(before_sunset(first_min), before_sunset(first_min + later_min))


@few
@given(flights(), st.integers(1, 60))
def test_less_fuel_never_helps_endurance(flight, less_l):
    less = replace(flight, fuel_l=max(flight.fuel_l - less_l, 0))
    before, after = told(answer(flight)), told(answer(less))
    assert not improves(before["fuel.enough", ""], after["fuel.enough", ""])


@few
@given(flights(), st.sampled_from([0.1, 0.5, 2.0]))
def test_a_longer_flight_never_helps(flight, more_h):
    never_better(flight, replace(flight, block_h=flight.block_h + more_h))


@pytest.mark.parametrize(
    ("before", "after", "better"),
    [
        ("STOP", "UNKNOWN", False),
        ("STOP", "JUDGE", True),
        ("STOP", "GO_IF", True),
        ("STOP", "GO", True),
        ("UNKNOWN", "JUDGE", True),
        ("UNKNOWN", "GO", True),
        ("UNKNOWN", "STOP", False),
        ("JUDGE", "GO_IF", True),
        ("GO_IF", "GO", True),
        ("GO", "GO", False),
        ("GO", "JUDGE", False),
        ("STOP", "STOP", False),
    ],
)
def test_improving_means_getting_nearer_to_a_release(before, after, better):
    assert improves(Verdict[before], Verdict[after]) is better


# --- order never matters ----------------------------------------------------------------------------------------------

LISTS = [
    ("people.toml", ("person",)),
    ("operation.toml", ("house", "limit")),
    ("operation.toml", ("house", "fuel_readings")),
    ("operation.toml", ("house", "avoid_weather")),
    ("field.toml", ("runway",)),
    ("aircraft/dunlin.toml", ("station",)),
    ("aircraft/dunlin.toml", ("limit",)),
    ("aircraft/dunlin.toml", ("surfaces", "approved")),
    ("aircraft/dunlin.toml", ("avoid_weather",)),
    ("flights/1330-sunde-halloran.toml", ("weather", "row")),
    ("flights/1330-sunde-halloran.toml", ("weather", "reports")),
    ("flights/1330-sunde-halloran.toml", ("weather", "forecasts")),
]
REPORTS = [
    "METAR X0TB 122010Z 20014G22KT 10SM FEW080 31/06 A2974",
    "METAR X0TB 121910Z 19012KT 10SM FEW080 30/06 A2975",
    "METAR X0TB 122010Z 20015G22KT 10SM FEW080 31/06 A2974",
]
FORECASTS = [
    "TAF X0TB 121120Z 1212/1312 18003KT P6SM SKC FM121800 20014G22KT P6SM FEW080 FM130100 21006KT P6SM SKC",
    "TAF X0TB 121720Z 1218/1318 20012G20KT P6SM FEW080 FM130100 21006KT P6SM SKC",
]


def many_reports():
    """Return the flight at 13:30 with more than one report and forecast, two reports of one minute among them."""
    files = demo("1330-sunde-halloran", "dunlin")
    return files.changed(
        files.flight, lambda data: data["weather"].update(reports=list(REPORTS), forecasts=list(FORECASTS))
    )


def summary(asked):
    """Return what an answer says, without the order in which equals are told."""
    return (
        asked.verdict,
        {key: verdict.code for key, verdict in told(asked).items()},
        sorted(each.id for each in asked.cautions),
        asked.not_needed,
    )


@settings(max_examples=20)
@given(st.sampled_from(LISTS), st.randoms(use_true_random=False))
def test_the_order_in_which_things_are_written_does_not_matter(where, random):
    path, place = where
    files = many_reports()

    def shuffle(data):
        inner = data
        for key in place[:-1]:
            inner = inner[key]
        random.shuffle(inner[place[-1]])

    before, after = files.answer(), files.changed(path, shuffle).answer()
    assert summary(before) == summary(after)
    values = {(each.id, each.about): each.value for each in after.findings if isinstance(each.value, float)}
    for each in before.findings:
        if isinstance(each.value, float):
            assert values[each.id, each.about] == pytest.approx(each.value, rel=1e-12)


def test_reports_of_one_minute_that_differ_are_not_believed():
    asked = many_reports().answer()
    assert asked.situation.sheet.value("mean_wind_m_s") is None
    assert asked.situation.sheet.value("least_headwind_m_s") is None
    assert asked.verdict >= Verdict.UNKNOWN
    # What they agree on is believed.
    assert asked.situation.sheet.value("hottest_k") is not None
    assert asked.situation.sheet.value("wind_m_s") == pytest.approx(22.0 * KT)


# --- equality passes --------------------------------------------------------------------------------------------------

# quantity, dimension, the value's name on the sheet, more keys of the limit, where it is judged
EQUAL = [
    ("take-off mass", "mass", "take_off_mass_kg", "", "loading.take_off_mass"),
    ("landing mass", "mass", "landing_mass_kg", "", "loading.landing_mass"),
    ("load", "mass", "load_kg:rear", 'on = ["rear"]', "loading.load"),
    ("gauge and stick apart", "volume", "fuel_apart_l", "", "fuel.readings_agree"),
    ("climb", "climb", "climb_m_s", "", "performance.climb"),
    ("wind", "speed", "wind_m_s", 'counts = "gust"', "wind.total"),
    ("wind", "speed", "mean_wind_m_s", 'counts = "mean"', "wind.total"),
    ("gust spread", "speed", "spread_m_s", "", "wind.spread"),
    ("crosswind", "speed", "crosswind_m_s", 'counts = "gust"', "wind.crosswind"),
    ("crosswind", "speed", "mean_crosswind_m_s", 'counts = "mean"', "wind.crosswind"),
    ("tailwind", "speed", "tailwind_m_s", 'counts = "gust"', "wind.tailwind"),
    ("air temperature", "temperature", "hottest_k", "", "weather.temperature"),
    ("density altitude", "length", "density_altitude_m", "", "weather.density_altitude"),
    ("pressure altitude", "length", "pressure_altitude_m", "", "weather.pressure_altitude"),
    ("visibility", "length", "visibility_m", "", "weather.visibility"),
    ("cloud base", "length", "cloud_base_m", "", "weather.cloud_base"),
    ("before sunset", "time", "before_sunset_h", "", "light.before_sunset"),
    ("after sunrise", "time", "after_sunrise_h", "", "light.after_sunrise"),
]
SIDES = [("at_most", True), ("at_least", True), ("below", False), ("above", False)]
BREEZY = Flight(
    lesson="upper work",
    fuel_l=None,
    extra=f'gauge = "40 L"\nstick = {{ value = "38 L", at = {ASKED.isoformat()} }}',
    observed=row((230, 7, 11), temperature="17 C", altimeter="1011 hPa", visibility="9 km", cloud="3500 ft"),
)


def breezy(limit):
    """Return the answer to a flight in some wind, its tank read two liters apart, under one more house limit."""
    return answer(replace(BREEZY, house=limit, runway="36" if "tailwind" in limit else "18"))


@pytest.mark.parametrize(
    ("of", "dimension", "name", "more", "id"), EQUAL, ids=[f"{each[0]} {each[3]}" for each in EQUAL]
)
def test_a_value_exactly_at_a_limit_passes_unless_the_limit_says_otherwise(of, dimension, name, more, id):
    start = breezy("# tailwind" if of == "tailwind" else "")
    value = start.situation.sheet.value(name)
    assert value
    symbols = [unit.symbol for unit in DIMENSIONS[dimension].units if len(DIMENSIONS[dimension].units) > 1]
    for number, (side, passes) in enumerate(SIDES):
        symbol = (symbols or [DIMENSIONS[dimension].units[0].symbol])[number % max(len(symbols), 1)]
        typed = f"{to_unit(dimension, value, symbol):.10f} {symbol}"
        limit = f'\n[[house.limit]]\nof = "{of}"\n{side} = "{typed}"\n{more}\npage = "equal"\n'
        found = [
            layer
            for each in breezy(limit).findings
            if each.id == id
            for layer in each.layers
            if layer.limit.source.section == "equal"
        ]
        assert [layer.passes for layer in found] == [passes], (side, typed)
        assert found[0].margin == pytest.approx(0.0, abs=1e-8)


@pytest.mark.parametrize("of", ["age of observation", "age of stick reading", "age of weighing"])
def test_an_age_exactly_at_its_limit_passes(of):
    files = good_day()
    names = {"age of observation": "12 min", "age of stick reading": "0 min", "age of weighing": "2 days"}

    def limited(data):
        data["house"]["limit"].append({"of": of, "at_most": names[of], "page": "equal"})

    asked = files.changed("operation.toml", limited).answer()
    layers = [layer for each in asked.findings for layer in each.layers if layer.limit.source.section == "equal"]
    assert layers
    assert all(layer.passes for layer in layers)
    assert asked.verdict is Verdict.GO


def test_fuel_exactly_as_needed_passes():
    # 17 L/h for one hour, half an hour's reserve, 4 L that nothing reaches.
    assert finding(answer(Flight(fuel_l=29.5)), "fuel.enough").verdict is Verdict.GO
    assert finding(answer(Flight(fuel_l=29.4)), "fuel.enough").verdict is Verdict.STOP


def test_a_factored_distance_exactly_as_long_as_the_runway_passes():
    start = answer(Flight()).situation.sheet
    factor = start.value("runway_length_m") / start.value("take_off_distance_m")
    limit = '\n[[house.limit]]\nof = "take-off distance"\ntimes = {times!r}\npage = "equal"\n'
    for times, passes in ((factor, True), (factor + 1e-6, False)):
        asked = answer(Flight(house=limit.format(times=times)))
        (layer,) = [
            layer
            for layer in finding(asked, "performance.take_off_distance").layers
            if layer.limit.source.section == "equal"
        ]
        assert layer.passes is passes


@pytest.mark.parametrize(
    ("side", "verdict"), [('at_most = "1 times"', "GO"), ('below = "1 times"', "JUDGE"), ('below = "2 times"', "GO")]
)
def test_as_many_cautions_as_the_house_allows_pass(side, verdict):
    files = demo("1330-sunde-halloran", "dunlin")

    def counted(data):
        (limit,) = [each for each in data["house"]["limit"] if each["of"] == "cautions"]
        del limit["below"]
        key, _, text = side.partition(" = ")
        limit[key] = text.strip('"')

    asked = files.changed("operation.toml", counted).answer()
    assert [each.id for each in asked.cautions] == ["wind.crosswind.demonstrated"]
    found = [each.verdict.code for each in asked.findings if each.id == "cautions.counted"]
    assert found == ([] if verdict == "GO" else [verdict])


# --- loading ----------------------------------------------------------------------------------------------------------


def shifted(text, by_mm):
    number, unit = text.split()
    return f"{float(number) * {'mm': 1.0, 'm': 1000.0}[unit] + by_mm:.6f} mm"


@few
@given(st.floats(-3000.0, 3000.0), st.floats(25.0, 110.0), st.floats(0.0, 62.0))
def test_loading_does_not_depend_on_where_the_datum_is(by_mm, front_kg, fuel_l):
    files = demo("0630-sunde-halloran", "dunlin")

    def people(data):
        (sunde,) = [each for each in data["person"] if each["id"] == "sunde"]
        sunde["mass"]["value"] = f"{front_kg:.3f} kg"

    def flight(data):
        data["fuel"]["gauge"] = data["fuel"]["stick"]["value"] = f"{fuel_l:.3f} L"

    def moved(data):
        data["weighing"]["empty_arm"] = shifted(data["weighing"]["empty_arm"], by_mm)
        data["fuel"]["arm"] = shifted(data["fuel"]["arm"], by_mm)
        for each in (*data["station"], *data["weighing"]["scale"]):
            each["arm"] = shifted(each["arm"], by_mm)
        for side in ("forward", "aft"):
            data["envelope"][side] = [[mass, shifted(arm, by_mm)] for mass, arm in data["envelope"][side]]

    files = files.changed("people.toml", people).changed(files.flight, flight)
    before, after = files.answer(), files.changed("aircraft/dunlin.toml", moved).answer()
    assert told(before) == told(after)
    one, other = finding(before, "loading.cg"), finding(after, "loading.cg")
    if one.margin is not None:
        assert other.margin == pytest.approx(one.margin, abs=1e-8)
        assert other.value - one.value == pytest.approx(by_mm / 1000.0, abs=1e-8)


@few
@given(st.floats(0.0, 4.0), st.floats(0.0, 4.0))
def test_loading_is_linear(one_kg, other_kg):
    def moment(kg):
        files = demo("0630-sunde-halloran", "dunlin")
        asked = files.changed(files.flight, lambda data: data["loads"].update(baggage=f"{kg:.6f} kg")).answer()
        return asked.situation.sheet.value("zero_fuel_moment_kg_m"), asked.situation.sheet.value("zero_fuel_mass_kg")

    empty, first, second, both = (moment(kg) for kg in (0.0, one_kg, other_kg, one_kg + other_kg))
    for number in (0, 1):
        added = first[number] - empty[number] + second[number] - empty[number]
        assert both[number] - empty[number] == pytest.approx(added, abs=5e-6)


# --- verification -----------------------------------------------------------------------------------------------------


def test_without_a_second_person_who_checked_the_manual_somebody_must_judge():
    files = demo("0630-sunde-halloran", "dunlin")
    assert files.answer().verdict <= Verdict.GO_IF
    after = files.changed("aircraft/dunlin.toml", lambda data: data["manual"].pop("verified_by")).answer()
    assert after.verdict is Verdict.JUDGE
    assert finding(after, "aircraft.verified").verdict is Verdict.JUDGE


LIMITS = {
    "aircraft/dunlin.toml": len(demo("0630-sunde-halloran", "dunlin").data["aircraft/dunlin.toml"]["limit"]),
    "operation.toml": len(demo("0630-sunde-halloran", "dunlin").data["operation.toml"]["house"]["limit"]),
}


@pytest.mark.parametrize("path", LIMITS)
def test_without_its_verification_a_limit_that_bears_on_the_flight_is_judged(path):
    files = demo("0630-sunde-halloran", "dunlin")
    before = files.answer()
    judged = 0
    for number in range(LIMITS[path]):

        def unverified(data, number=number):
            limits = data["limit"] if path.startswith("aircraft") else data["house"]["limit"]
            limits[number]["verified_by"] = ""

        after = files.changed(path, unverified).answer()
        found = [
            each
            for each in after.findings
            if each.id.partition(".")[0] in ROOMS and any(not layer.limit.verified_by for layer in each.layers)
        ]
        assert not improves(before.verdict, after.verdict)
        # A reading's age asks for a fact, and cautions for a judgement, whoever checked the figure.
        for each in found:
            if each.id not in ("weather.observation_age", "fuel.stick_age"):
                assert each.verdict >= Verdict.JUDGE
                assert after.verdict >= Verdict.JUDGE
                judged += 1
    assert judged > LIMITS[path] / 3


def test_the_same_question_is_answered_the_same_twice():
    files = demo("1330-sunde-halloran", "dunlin")
    assert summary(files.answer()) == summary(files.answer())
    assert deepcopy(files.data) == files.data
