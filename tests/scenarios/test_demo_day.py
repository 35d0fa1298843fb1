"""The demonstration's printed tables: loading, the air and wind of the day, and every row of its table of flights.

Everything is asked through the definition files and `decide`. All numbers are invented with the demonstration; they are
the tables' own print, and the tolerance is half the last printed digit unless the tables' reading rules say otherwise.
"""

from datetime import datetime
from pathlib import Path

import pytest

from gyrewright.aircraft.envelope import limits_at
from gyrewright.aircraft.tables import explain
from gyrewright.arrays import at_least, at_most
from gyrewright.finding import Verdict, Whose
from kit.files import demo
from scenarios.fixture import FT, FT_MIN, KT, against, finding, verdict_of_rooms

LB, IN, MM = 0.45359237, 0.0254, 0.001
IDS = {"dunlin": "N0-101D", "whimbrel": "N0-202W", "sanderling": "N0-303S"}
PLACES = {"dunlin": ["baggage"], "whimbrel": ["pods"], "sanderling": ["ballast"]}


# --- loading ----------------------------------------------------------------------------------------------------------


def loaded(aircraft, front, rear, fuel_l, load=0.0, *, block="1 min"):
    """Return the answer for two masses, a fuel state and a load, all typed into the demonstration's own files."""

    def people(data):
        for person, mass in (("sunde", front), *((("halloran", rear),) if rear else ())):
            entry = next(each for each in data["person"] if each["id"] == person)
            entry["mass"]["value"] = f"{mass} kg"

    def flight(data):
        places = [each["id"] for each in files.data[f"aircraft/{aircraft}.toml"]["station"] if each["kind"] != "seat"]
        data["aircraft"] = IDS[aircraft]
        data["seats"]["rear"] = "halloran" if rear else "empty"
        data["fuel"]["gauge"] = data["fuel"]["stick"]["value"] = f"{fuel_l} L"
        data["loads"] = dict.fromkeys(places, f"{load} kg")
        data["time"]["block"] = block

    files = demo("0630-sunde-halloran", aircraft)
    return files.changed("people.toml", people).changed(files.flight, flight).answer()


SHEETS = {
    "dunlin": (88, 76, 62, 0),
    "whimbrel": (90, 84, 76, 6),
    "sanderling": (78, 70, 38, 0),
}
# station, mass kg, mass lb, arm mm, arm in, moment kg mm
LINES = {
    "dunlin": [
        ("empty", 286.00, 630.5, 2402, 94.57, 686972),
        ("front", 88.00, 194.0, 1312, 51.65, 115456),
        ("rear", 76.00, 167.6, 2058, 81.02, 156408),
        ("fuel", 44.64, 98.4, 2150, 84.65, 95976),
        ("baggage", 0.00, 0.0, 1985, 78.15, 0),
        ("total", 494.64, 1090.5, 2132.5, 83.96, 1054812),
    ],
    "whimbrel": [
        ("empty", 322.00, 709.9, 2446, 96.30, 787612),
        ("front", 90.00, 198.4, 1336, 52.60, 120240),
        ("rear", 84.00, 185.2, 2086, 82.13, 175224),
        ("fuel", 54.72, 120.6, 2240, 88.19, 122573),
        ("baggage", 6.00, 13.2, 1990, 78.35, 11940),
        ("total", 556.72, 1227.4, 2187.1, 86.11, 1217589),
    ],
    "sanderling": [
        ("empty", 252.00, 555.6, 2322, 91.42, 585144),
        ("front", 78.00, 172.0, 1262, 49.69, 98436),
        ("rear", 70.00, 154.3, 1990, 78.35, 139300),
        ("fuel", 27.36, 60.3, 2120, 83.46, 58003),
        ("total", 427.36, 942.2, 2061.2, 81.15, 880883),
    ],
}


@pytest.mark.parametrize("aircraft", SHEETS)
def test_the_loading_sheets_come_out_as_printed(aircraft):
    sheet = loaded(aircraft, *SHEETS[aircraft]).situation.sheet
    names = {"empty": ("empty_mass_kg", "empty_arm_m"), "fuel": ("fuel_mass_kg", "fuel_arm_m")}
    for station, mass_kg, mass_lb, arm_mm, arm_in, moment in LINES[aircraft]:
        if station == "total":
            path = sheet.value("cg_path")
            mass, arm = path.take_off_mass_kg, path.take_off_cg_m
            assert mass == sheet.value("take_off_mass_kg")
            arm_tolerance = 0.05
        else:
            mass_name, arm_name = names.get(station, (f"load_kg:{station}", f"arm_m:{station}"))
            mass, arm = sheet.value(mass_name), sheet.value(arm_name)
            arm_tolerance = 1e-9
        assert mass == pytest.approx(mass_kg, abs=0.005)
        assert mass / LB == pytest.approx(mass_lb, abs=0.05)
        assert arm / MM == pytest.approx(arm_mm, abs=arm_tolerance)
        assert arm / IN == pytest.approx(arm_in, abs=0.005)
        assert mass * arm / MM == pytest.approx(moment, abs=0.5)


OVER, CG, FRONT = "loading.take_off_mass", "loading.cg", "loading.load"
# number, aircraft, front, rear, fuel L, load, mass kg, lb, CG mm, in, forward and aft limit mm, kg over, mm outside
# (aft positive), and what stands against the flight over its whole burn
CASES = [
    (1, "dunlin", 88, 76, 62, 0, 494.6, 1090, 2132.5, 83.96, 2082.0, 2202.0, 0, 0, set()),
    (2, "dunlin", 92, 98, 40, 0, 504.8, 1113, 2122.2, 83.55, 2082.0, 2202.0, 4.8, 0, {OVER, CG}),
    (3, "dunlin", 65, 0, 62, 0, 395.6, 872, 2194.5, 86.40, 2082.0, 2202.0, 0, 0, set()),
    (4, "dunlin", 65, 0, 0, 0, 351.0, 774, 2200.1, 86.62, 2082.0, 2202.0, 0, 0, set()),
    (5, "dunlin", 62, 0, 62, 0, 392.6, 866, 2201.2, 86.66, 2082.0, 2202.0, 0, 0, {FRONT, CG}),
    (6, "dunlin", 62, 0, 0, 0, 348.0, 767, 2207.8, 86.92, 2082.0, 2202.0, 0, 5.8, {FRONT, CG}),
    (7, "dunlin", 119, 0, 62, 0, 449.6, 991, 2088.5, 82.22, 2082.0, 2202.0, 0, 0, {CG}),
    (8, "dunlin", 119, 0, 0, 0, 405.0, 893, 2081.7, 81.96, 2082.0, 2202.0, 0, -0.3, {CG}),
    (9, "dunlin", 120, 80, 0, 0, 486.0, 1071, 2076.2, 81.74, 2082.0, 2202.0, 0, -5.8, {CG}),
    (10, "whimbrel", 90, 84, 76, 6, 556.7, 1227, 2187.1, 86.11, 2144.3, 2235.8, 0, 0, set()),
    (11, "whimbrel", 64, 0, 76, 0, 440.7, 972, 2259.2, 88.95, 2128.0, 2262.0, 0, 0, set()),
    (12, "whimbrel", 64, 0, 0, 0, 386.0, 851, 2262.0, 89.05, 2128.0, 2262.0, 0, 0, set()),
    (13, "whimbrel", 62, 0, 0, 0, 384.0, 847, 2266.8, 89.24, 2128.0, 2262.0, 0, 4.8, {CG}),
    (14, "whimbrel", 110, 100, 40, 10, 570.8, 1258, 2150.6, 84.67, 2145.0, 2235.0, 10.8, 0, {OVER, CG}),
    (15, "whimbrel", 120, 95, 0, 0, 537.0, 1184, 2134.3, 84.03, 2140.1, 2240.8, 0, -5.8, {CG}),
    (16, "sanderling", 78, 70, 38, 0, 427.4, 942, 2061.2, 81.15, 2013.0, 2110.0, 0, 0, set()),
    (17, "sanderling", 98, 92, 20, 0, 456.4, 1006, 2021.1, 79.57, 2013.0, 2110.0, 6.4, 0, {OVER, CG}),
    (18, "sanderling", 61, 0, 38, 0, 340.4, 750, 2115.8, 83.30, 2013.0, 2110.0, 0, 5.8, {FRONT, CG}),
    (19, "sanderling", 100, 95, 0, 0, 447.0, 985, 2014.3, 79.30, 2013.0, 2110.0, 0, 0, set()),
]


@pytest.mark.parametrize("case", CASES, ids=[f"case {case[0]}" for case in CASES])
def test_the_loading_cases_come_out_as_printed(case):
    _, aircraft, front, rear, fuel_l, load, *printed = case
    mass_kg, mass_lb, cg_mm, cg_in, forward_mm, aft_mm, over_kg, outside_mm, stopped_by = printed
    asked = loaded(aircraft, front, rear, fuel_l, load)
    sheet = asked.situation.sheet
    path = sheet.value("cg_path")
    forward_m, aft_m = limits_at(sheet.value("envelope"), path.take_off_mass_kg)
    assert path.take_off_mass_kg == pytest.approx(mass_kg, abs=0.05)
    assert path.take_off_mass_kg / LB == pytest.approx(mass_lb, abs=0.5)
    assert path.take_off_cg_m / MM == pytest.approx(cg_mm, abs=0.05)
    assert path.take_off_cg_m / IN == pytest.approx(cg_in, abs=0.005)
    # Half the last digit, and room for a half that is exactly one (case 15: 2240.75 is printed 2240.8).
    assert forward_m / MM == pytest.approx(forward_mm, abs=0.05 + 1e-9)
    assert aft_m / MM == pytest.approx(aft_mm, abs=0.05 + 1e-9)
    mass = finding(asked, OVER)
    assert max(0.0, -mass.margin) == pytest.approx(over_kg, abs=0.05)
    beyond_m = max(path.take_off_cg_m - aft_m, 0.0) + min(path.take_off_cg_m - forward_m, 0.0)
    assert beyond_m / MM == pytest.approx(outside_mm, abs=0.05)
    inside = at_least(path.take_off_cg_m, forward_m) and at_most(path.take_off_cg_m, aft_m)
    assert inside == (outside_mm == 0)
    found = {each.id for each in asked.findings if each.verdict > Verdict.GO and each.id.startswith("loading.")}
    assert found == stopped_by
    # Over the last row of the envelope there is no answer about the balance: not known, beside the mass that stops.
    center = finding(asked, CG)
    assert center.verdict is (Verdict.UNKNOWN if over_kg else Verdict.STOP if CG in stopped_by else Verdict.GO)


def test_the_narrowest_case_passes_by_four_hundredths_of_a_millimeter():
    center = finding(loaded("whimbrel", 64, 0, 0), CG)
    assert center.verdict is Verdict.GO
    assert center.margin / MM == pytest.approx(0.04, abs=0.005)


def test_the_heavy_solo_is_legal_at_take_off_and_not_when_it_lands():
    center = finding(loaded("dunlin", 119, 0, 62), CG)
    assert center.verdict is Verdict.STOP
    assert center.margin / MM == pytest.approx(-0.3, abs=0.05)
    assert center.limit / MM == pytest.approx(2082.0)


def test_a_light_student_alone_passes_with_eight_kilograms_of_ballast():
    asked = loaded("sanderling", 61, 0, 38, 8)
    path = asked.situation.sheet.value("cg_path")
    assert path.take_off_mass_kg == pytest.approx(348.36, abs=0.005)
    assert path.take_off_cg_m / MM == pytest.approx(2076.8, abs=0.05)
    assert path.end_mass_kg == pytest.approx(321.00, abs=0.005)
    assert path.end_cg_m / MM == pytest.approx(2073.2, abs=0.05)
    assert finding(asked, CG).verdict is Verdict.GO
    assert finding(asked, FRONT, "front+ballast").verdict is Verdict.GO


def test_the_same_bars_left_in_put_a_heavy_pair_forward_of_the_limits():
    asked = loaded("sanderling", 98, 70, 20, 8)
    path = asked.situation.sheet.value("cg_path")
    assert path.take_off_mass_kg == pytest.approx(442.4, abs=0.05)
    assert path.take_off_cg_m / MM == pytest.approx(1993.7, abs=0.05)
    center = finding(asked, CG)
    assert center.verdict is Verdict.STOP
    assert center.limit / MM == pytest.approx(2013.0)


# --- the day ----------------------------------------------------------------------------------------------------------

# flight, temperature C, altimeter inHg, pressure altitude ft, density altitude ft
AIR = [
    ("table-0630-dunlin-dual-25", 9, 29.80, 3380, 3462),
    ("table-1330-dunlin-dual-25", 31, 29.74, 3440, 6018),
    ("table-1900-dunlin-dual-25", 24, 29.73, 3450, 5265),
]


def winter_morning():
    def flight(data):
        data["asked_at"] = datetime.fromisoformat("2027-01-18T07:50:00-08:00")
        data["time"]["depart"] = datetime.fromisoformat("2027-01-18T08:00:00-08:00")
        data["fuel"]["stick"]["at"] = data["asked_at"]
        observation = {
            "at": data["asked_at"],
            "by": "station",
            "wind_from": "180 deg",
            "reference": "true",
            "wind": "3 kt",
            "gust": "none",
            "visibility": "10 km",
            "cloud_base": "none",
            "weather": [],
            "temperature": "-6 C",
            "altimeter": "30.31 inHg",
        }
        data["weather"] = {"reports": [], "forecasts": [], "row": [], "observation": observation}

    def people(data):
        for person in data["person"]:
            person["mass"]["at"] = person["mass"]["at"].replace(month=1, day=15)

    files = demo("table-0630-dunlin-dual-25", "dunlin")
    return files.changed(files.flight, flight).changed("people.toml", people).answer()


@pytest.mark.parametrize(("name", "celsius", "inches", "pressure_ft", "density_ft"), AIR)
def test_the_air_of_the_day_comes_out_as_printed(name, celsius, inches, pressure_ft, density_ft):
    sheet = demo(name).answer().situation.sheet
    assert sheet.value("hottest_at_take_off_k") == pytest.approx(celsius + 273.15)
    assert sheet.value("lowest_altimeter_pa") / 3386.389 == pytest.approx(inches)
    assert sheet.value("pressure_altitude_m") / FT == pytest.approx(pressure_ft, abs=0.5)
    assert sheet.value("density_altitude_m") / FT == pytest.approx(density_ft, abs=0.5)


def test_the_winter_morning_comes_out_as_printed():
    asked = winter_morning()
    sheet = asked.situation.sheet
    assert sheet.value("pressure_altitude_m") / FT == pytest.approx(2870, abs=0.5)
    assert sheet.value("density_altitude_m") / FT == pytest.approx(990, abs=0.5)
    assert verdict_of_rooms(asked) is Verdict.GO
    # Below 0 C the tables are read at their first column.
    assert finding(asked, "performance.take_off_distance").verdict is Verdict.GO


# flight, runway, head kt, cross kt steady, cross kt in the gust, cross kt where true was taken for magnetic
WIND = [
    ("table-0630-dunlin-dual-25", "07", -0.2, 3.0, 3.0, 2.9),
    ("table-0630-dunlin-dual-25", "25", 0.2, 3.0, 3.0, 2.9),
    ("table-0630-dunlin-dual-25", "16", 3.0, 0.2, 0.2, 0.9),
    ("table-0630-dunlin-dual-25", "34", -3.0, 0.2, 0.2, 0.9),
    ("table-1330-dunlin-dual-25", "25", 5.7, 12.8, 20.1, 11.0),
    ("table-1330-dunlin-dual-25", "16", 12.9, 5.5, 8.6, 8.4),
    ("table-1900-dunlin-dual-25", "07", -3.4, 5.0, 5.0, 4.0),
    ("table-1900-dunlin-dual-25", "25", 3.4, 5.0, 5.0, 4.0),
    ("table-1900-dunlin-dual-25", "16", 5.0, 3.3, 3.3, 4.4),
]


@pytest.mark.parametrize(("name", "runway", "head_kt", "steady_kt", "gust_kt", "mistaken_kt"), WIND)
def test_the_wind_on_each_runway_comes_out_as_printed(name, runway, head_kt, steady_kt, gust_kt, mistaken_kt):
    files = demo(name, "dunlin")
    files = files.changed(files.flight, lambda data: data.update(runway=runway))
    sheet = files.answer().situation.sheet
    assert sheet.value("least_headwind_m_s") / KT == pytest.approx(head_kt, abs=0.05)
    assert sheet.value("mean_crosswind_m_s") / KT == pytest.approx(steady_kt, abs=0.05)
    assert sheet.value("crosswind_m_s") / KT == pytest.approx(gust_kt, abs=0.05)

    def mistaken(data):
        for each in data["runway"]:
            each["reference"] = "true"

    wrong = files.changed("field.toml", mistaken).answer().situation.sheet
    assert wrong.value("mean_crosswind_m_s") / KT == pytest.approx(mistaken_kt, abs=0.05)


def test_forgetting_the_variation_would_lose_the_caution_and_forgetting_the_gust_a_limit():
    def mistaken(data):
        for each in data["runway"]:
            each["reference"] = "true"

    right = demo("table-1330-dunlin-dual-25", "dunlin")
    wrong = right.changed("field.toml", mistaken).answer()
    assert wrong.situation.sheet.value("crosswind_m_s") / KT == pytest.approx(17.3, abs=0.05)
    assert [each.id for each in right.answer().cautions] == ["wind.crosswind.demonstrated"]
    assert wrong.cautions == ()
    assert wrong.situation.sheet.value("mean_crosswind_m_s") < 12.0 * KT


# --- the table of the day ---------------------------------------------------------------------------------------------

TABLE = Path(__file__).with_name("demo_day.txt").read_text()
ROWS = [line for line in TABLE.splitlines() if not line.startswith("#")]
CLIMB_FT_MIN, DISTANCE_M = 10.0, 1.0  # the reading rules' own
CALLED = {
    "performance.climb": ("climb", FT_MIN),
    "wind.crosswind": ("cross", KT),
    "wind.total": ("wind", KT),
    "wind.spread": ("spread", KT),
}


def broken(asked):
    """Return every layer that the flight breaks: what it is about, value and limit as the table prints them, whose.

    The table speaks of performance, wind and climb, and of the school's rules for students alone; a student's card has
    the same numbers.
    """
    out = []
    for each in asked.findings:
        for layer in each.layers:
            if each.id not in (*CALLED, "performance.take_off_distance"):
                continue
            if layer.margin is None or layer.passes or layer.limit.whose is Whose.ENDORSEMENT:
                continue
            whose, limit = layer.limit.whose, layer.limit.value
            if each.id == "performance.take_off_distance":
                runway_m = asked.situation.sheet.value("runway_length_m")
                kind, times = ("distance", 1.0) if whose is Whose.PLACE else ("factored", runway_m / limit)
                out.append((kind, layer.value * times, runway_m, whose, False))
            else:
                kind, unit = CALLED[each.id]
                out.append((kind, layer.value / unit, limit / unit, whose, layer.limit.demonstrated))
    return out


def reasons(text):
    """Return the reasons printed in a column: what each is about, its value and its limit."""
    for each in filter(None, (part.strip() for part in text.split(";"))):
        kind, _, numbers = each.partition(" ")
        value, limit = numbers.replace("<", ">").split(">")
        yield kind, float(value), float(limit)


def matches(found, printed):
    """Whether found and printed reasons are the same ones, each number within what the table's reading rules allow."""
    within = {"climb": CLIMB_FT_MIN, "distance": DISTANCE_M, "factored": DISTANCE_M, "wind": 0.5, "spread": 0.5}
    left = list(found)
    for kind, value, limit in printed:
        same = [
            each
            for each in left
            if each[0] == kind and abs(each[1] - value) <= within.get(kind, 0.05) and abs(each[2] - limit) <= 1e-6
        ]
        if len(same) != 1:
            return False
        left.remove(same[0])
    return not left


@pytest.mark.parametrize("row", ROWS, ids=[row.split()[0] for row in ROWS])
def test_each_row_of_the_table_comes_out_as_printed(row):
    numbers, aircraft_says, school_says = row.split("|")
    name, *printed = numbers.split()
    mass, table_mass, roll, distance, factored, runway, climb, steady, gust = map(float, printed)
    asked = demo(f"table-{name}").answer()
    sheet = asked.situation.sheet
    assert sheet.value("take_off_mass_kg") == pytest.approx(mass, abs=0.5)
    axes = [sheet.value("take_off_mass_kg"), sheet.value("pressure_altitude_m"), sheet.value("hottest_at_take_off_k")]
    read = explain(asked.situation.question.definition.table("take_off_distance").table, *axes)
    assert (read.axes[0].low, read.axes[0].high) == (table_mass, table_mass)
    assert sheet.value("ground_roll_m") == pytest.approx(roll, abs=DISTANCE_M)
    assert sheet.value("take_off_distance_m") == pytest.approx(distance, abs=DISTANCE_M)
    assert sheet.value("take_off_distance_m") * 1.33 == pytest.approx(factored, abs=DISTANCE_M)
    assert sheet.value("runway_length_m") == runway
    assert sheet.value("climb_m_s") / FT_MIN == pytest.approx(climb, abs=CLIMB_FT_MIN)
    assert sheet.value("mean_crosswind_m_s") / KT == pytest.approx(steady, abs=0.05)
    assert sheet.value("crosswind_m_s") / KT == pytest.approx(gust, abs=0.05)

    found = broken(asked)
    cautions = [(kind, value, limit) for kind, value, limit in reasons(aircraft_says) if kind == "caution"]
    limits = [each for each in reasons(aircraft_says) if each[0] != "caution"]
    assert matches([each for each in found if each[3] is not Whose.HOUSE and not each[4]], limits)
    assert matches([("caution", *each[1:]) for each in found if each[4]], cautions)
    assert [each.id for each in asked.cautions] == ["wind.crosswind.demonstrated"] * len(cautions)
    assert matches([each for each in found if not each[4]], list(reasons(school_says)))
    assert verdict_of_rooms(asked) is (Verdict.STOP if school_says.strip() else Verdict.GO)
    stopped = {each.id for each in asked.findings if any(not layer.passes for layer in each.layers)}
    assert against(asked) <= stopped


def test_the_table_is_whole():
    assert len(ROWS) == 30
    assert len({row.split()[0] for row in ROWS}) == 30


def test_edges_are_inclusive():
    asked = demo("table-1330-sanderling-solo-16").answer()
    for id in ("wind.total", "wind.spread"):
        makers = [layer for layer in finding(asked, id).layers if layer.limit.whose is Whose.MAKER]
        assert len(makers) == 1
        assert makers[0].margin == pytest.approx(0.0, abs=1e-9)
        assert makers[0].passes
