"""The groups that reports and forecasts share: gyrewright.air.reports.body and what draft makes of them."""

from datetime import UTC, datetime

import pytest

from gyrewright.air.reports import Relation, State, decode_metar, decode_taf
from gyrewright.units import parse_quantity

RECEIVED = datetime(2027, 6, 15, 18, 0, tzinfo=UTC)
KT = 1852.0 / 3600.0
FT = 0.3048


def said(groups):
    report = decode_metar(f"METAR KAAA 151753Z {groups}", received_on=RECEIVED)
    assert report.unread == ()
    return report.conditions


def unread(groups):
    return [one.text for one in decode_metar(f"METAR KAAA 151753Z {groups}", received_on=RECEIVED).unread]


@pytest.mark.parametrize(
    ("group", "unit", "speed"), [("24010KT", "kt", 10), ("24010MPS", "m/s", 10), ("24036KMH", "km/h", 36)]
)
def test_a_wind_is_in_the_unit_that_it_prints(group, unit, speed):
    assert said(group).wind.wind_m_s == parse_quantity("speed", f"{speed} {unit}").value


def test_calm_is_a_wind_of_zero_and_not_a_missing_one():
    conditions = said("00000KT")
    assert (conditions.wind.wind_m_s, conditions.wind.wind_is_variable) == (0.0, False)
    assert conditions.state("wind") is State.KNOWN


def test_a_wind_over_the_end_of_the_scale_says_so():
    wind = said("240P99GP99KT").wind if not unread("240P99GP99KT") else said("240P99KT").wind
    assert (wind.wind_m_s, wind.wind_relation) == (99 * KT, Relation.MORE_THAN)
    wind = said("24080GP99KT").wind
    assert (wind.wind_relation, wind.gust_relation) == (Relation.EXACTLY, Relation.MORE_THAN)


@pytest.mark.parametrize(
    "group",
    [
        *("37010KT", "24510KT", "00010KT", "36000KT", "VRB00KT", "24015G15KT", "24015G10KT", "240015KT", "24015KTS"),
        *("24015", "2401KT", "24O15KT", "24015kt", "00000G10KT"),
    ],
)
def test_a_wind_that_cannot_be_is_unread_and_lost(group):
    report = decode_metar(f"METAR KAAA 151753Z {group} 10SM", received_on=RECEIVED)
    assert [one.text for one in report.unread] == [group]
    assert (report.conditions.wind, report.conditions.state("wind")) == (None, State.UNREAD)
    assert "wind" in report.lost


@pytest.mark.parametrize(
    ("group", "direction", "speed", "gust"),
    [("///10KT", None, 10 * KT, None), ("240//KT", 240.0, None, None), ("24010G//KT", 240.0, 10 * KT, None)],
)
def test_a_wind_observed_in_part_is_known_in_part_and_called_missing(group, direction, speed, gust):
    conditions = said(group)
    wind = conditions.wind
    assert (wind.wind_from_true_deg, wind.wind_m_s, wind.gust_m_s) == (direction, speed, gust)
    assert wind.gust_is_missing is group.endswith("G//KT")
    assert not wind.wind_is_variable
    assert conditions.state("wind") is State.MISSING


def test_a_wind_not_observed_at_all_is_none():
    conditions = said("/////KT")
    assert (conditions.wind, conditions.state("wind")) == (None, State.MISSING)


@pytest.mark.parametrize("ends", [(0, 359), (0, 360), (290, 20)])
def test_a_sector_may_be_the_whole_circle(ends):
    wind = said(f"VRB05KT {ends[0]:03}V{ends[1]:03}").wind
    assert (wind.sector_from_true_deg, wind.sector_to_true_deg) == ends


def test_a_damaged_sector_takes_the_wind_with_it():
    report = decode_metar("METAR KAAA 151753Z 24010KT 200V361 10SM", received_on=RECEIVED)
    assert [one.text for one in report.unread] == ["200V361"]
    assert report.conditions.state("wind") is State.UNREAD


@pytest.mark.parametrize(
    ("groups", "fact"),
    [
        ("24010KT 25010KT", "wind"),
        ("24010KT 200V260 210V260", "wind"),
        ("3SM 4SM", "visibility"),
        ("9999 ////", "visibility"),
        ("CAVOK 3000", "visibility"),
        ("CAVOK BKN010", "cloud"),
        ("SKC BKN010", "cloud"),
        ("SKC NSC", "cloud"),
        ("CAVOK RA", "weather"),
        ("NSW RA", "weather"),
        ("18/16 17/16", "temperature"),
        ("18/16 18/15", "dew_point"),
        ("16/18", "temperature"),
        ("16/18", "dew_point"),
        ("A2992 A2993", "altimeter"),
        ("Q1013 Q1014", "altimeter"),
        ("Q1014 A2992", "altimeter"),
        ("Q1012 A2992", "altimeter"),
    ],
)
def test_groups_that_disagree_leave_the_fact_contradictory(groups, fact):
    conditions = said(groups)
    assert (getattr(conditions, fact), conditions.state(fact)) == (None, State.CONTRADICTORY)


@pytest.mark.parametrize(
    ("groups", "fact"),
    [
        ("24010KT 24010KT", "wind"),
        ("24010KT 200V260 200V260", "wind"),
        ("3SM 3SM", "visibility"),
        ("CAVOK 9999", "visibility"),
        ("SKC SKC", "cloud"),
        ("BKN010 OVC020", "cloud"),
        ("RA BR", "weather"),
        ("18/16 18/16", "temperature"),
        ("A2992 A2992", "altimeter"),
        ("Q1013 A2992", "altimeter"),
        ("Q1026 A3030", "altimeter"),
        ("Q1000 A2952", "altimeter"),  # 29.53 inHg, not quite printed, is 1000.001 hPa
        ("Q1084 A3204", "altimeter"),  # 1084.999 hPa
    ],
)
def test_groups_that_agree_leave_the_fact_known(groups, fact):
    assert said(groups).state(fact) is State.KNOWN


def test_of_two_settings_that_agree_the_finer_one_stands():
    assert said("Q1013 A2992").altimeter.text == "A2992"
    assert said("A2992 Q1013").altimeter.text == "A2992"


@pytest.mark.parametrize("hundredths", [2500, 2992, 3100, 3110, 3111, 3250])
def test_a_setting_in_inches_is_the_very_number_that_a_person_types(hundredths):
    typed = parse_quantity("pressure", f"{hundredths / 100:.2f} inHg").value
    assert said(f"A{hundredths}").altimeter.altimeter_pa == typed


def test_every_setting_in_inches_is_the_very_number_that_a_person_types():
    for hundredths in range(2500, 3251):
        conditions = decode_metar(f"METAR KAAA 151753Z A{hundredths}", received_on=RECEIVED).conditions
        assert conditions.altimeter.altimeter_pa == parse_quantity("pressure", f"{hundredths / 100:.2f} inHg").value


@pytest.mark.parametrize("group", ["Q0850", "Q1100", "A2500", "A3250"])
def test_settings_up_to_the_end_of_the_scale_are_read(group):
    assert said(group).state("altimeter") is State.KNOWN


@pytest.mark.parametrize("group", ["Q0849", "Q1101", "A2499", "A3251", "Q101", "A29992", "A29.92"])
def test_settings_beyond_any_on_record_are_unread_and_lost(group):
    report = decode_metar(f"METAR KAAA 151753Z A2992 {group}", received_on=RECEIVED)
    assert [one.text for one in report.unread] == [group]
    assert report.conditions.state("altimeter") is State.UNREAD


def test_a_forecast_gives_its_lowest_setting():
    taf = decode_taf("TAF KAAA 151130Z 1512/1612 24010KT 9999 SKC QNH2985INS", received_on=RECEIVED)
    assert taf.periods[0].conditions.altimeter.altimeter_pa == parse_quantity("pressure", "29.85 inHg").value


@pytest.mark.parametrize("groups", ["////", "////SM"])
def test_a_visibility_in_slashes_is_missing_and_no_distance(groups):
    conditions = said(groups)
    assert (conditions.visibility, conditions.state("visibility")) == (None, State.MISSING)


@pytest.mark.parametrize(
    ("group", "meters", "relation"),
    [
        ("9999", 10_000.0, Relation.AT_LEAST),
        ("0000", 50.0, Relation.LESS_THAN),
        ("0050", 50.0, Relation.EXACTLY),
        ("0350", 350.0, Relation.EXACTLY),
        ("4000NDV", 4000.0, Relation.EXACTLY),
        ("P6SM", 6 * 1609.344, Relation.MORE_THAN),
        ("M1/4SM", 1609.344 / 4, Relation.LESS_THAN),
        ("3/16SM", 1609.344 * 3 / 16, Relation.EXACTLY),
        ("2 3/8SM", 1609.344 * 2.375, Relation.EXACTLY),
    ],
)
def test_visibility_and_how_it_stands_to_the_truth(group, meters, relation):
    visibility = said(group).visibility
    assert (visibility.visibility_m, visibility.relation) == (pytest.approx(meters), relation)


def test_a_visibility_towards_one_side_stands_beside_the_prevailing_one():
    visibility = said("9999 4000SE").visibility
    assert visibility.visibility_m == 10_000.0
    assert [(one.visibility_m, one.direction, one.text) for one in visibility.directional] == [(4000.0, "SE", "4000SE")]


@pytest.mark.parametrize("group", ["4004", "0625", "11/2SM", "1/3SM", "3/2SM", "0/4SM", "1 1/2", "lSM", "1OSM"])
def test_a_visibility_between_the_steps_of_the_code_is_unread_and_lost(group):
    report = decode_metar(f"METAR KAAA 151753Z 24010KT 10SM {group}", received_on=RECEIVED)
    assert report.unread
    assert report.conditions.state("visibility") is State.UNREAD


@pytest.mark.parametrize(
    "group", ["BRHZ", "RAFG", "BLRA", "MISN", "FZSN", "TSDZ", "FZ", "BL", "VC", "-", "XX", "RASNPLGR", "TSFG", "DRPY"]
)
def test_a_weather_that_the_code_does_not_know_is_unread(group):
    assert unread(f"10SM {group}") == [group]


@pytest.mark.parametrize(
    ("group", "parts"),
    [
        ("TS", ("", False, "TS", ())),
        ("VCTS", ("", True, "TS", ())),
        ("+VCFC", ("heavy", True, "", ("FC",))),
        ("+FC", ("heavy", False, "", ("FC",))),
        ("-FZRAPL", None),
        ("-FZRA", ("light", False, "FZ", ("RA",))),
        ("BLPY", ("", False, "BL", ("PY",))),
        ("PRFG", ("", False, "PR", ("FG",))),
        ("BCFG", ("", False, "BC", ("FG",))),
        ("MIFG", ("", False, "MI", ("FG",))),
        ("DRDU", ("", False, "DR", ("DU",))),
        ("UP", ("moderate", False, "", ("UP",))),
        ("RASNPL", ("moderate", False, "", ("RA", "SN", "PL"))),
        ("VCFG", ("", True, "", ("FG",))),
        ("TSSNGS", ("moderate", False, "TS", ("SN", "GS"))),
        ("SHGRUP", ("moderate", False, "SH", ("GR", "UP"))),
        ("FZUP", ("moderate", False, "FZ", ("UP",))),
        ("BLSA", ("", False, "BL", ("SA",))),
    ],
)
def test_weather_in_its_parts(group, parts):
    if parts is None:
        assert unread(group) == [group]
        return
    (one,) = said(group).weather
    assert (one.intensity, one.is_in_vicinity, one.descriptor, one.phenomena) == parts


CODES = "DZ RA SN SG IC PL GR GS UP BR FG FU VA DU SA HZ PY PO SQ FC SS DS"


@pytest.mark.parametrize("code", CODES.split())
def test_every_phenomenon_of_the_code_is_read(code):
    assert said(code).weather[0].phenomena == (code,)


def test_no_weather_group_beside_others_says_that_there_is_none():
    assert said("24010KT 10SM").weather == ()


def test_weather_in_slashes_is_missing():
    conditions = said("24010KT 9999 //")
    assert (conditions.weather, conditions.state("weather")) == (None, State.MISSING)


@pytest.mark.parametrize(
    ("groups", "ceiling_ft", "has_ceiling", "clear_below_ft"),
    [
        ("BKN008 OVC012", 800, True, 800),
        ("OVC012 BKN008", 800, True, 800),
        ("FEW008 SCT020", None, None, 5000),
        ("FEW008 BKN020", 2000, True, 2000),
        ("SKC", None, False, None),
        ("CLR", None, None, 12000),
        ("NSC", None, None, 5000),
        ("NCD", None, None, 5000),
        ("CAVOK", None, None, 5000),
        ("VV///", None, True, None),
        ("BKN///", None, True, None),
        ("BKN020 OVC///", None, True, None),
        ("FEW///", None, None, 5000),
        ("///015", None, None, 1500),
        ("///015 BKN020", None, True, 1500),
        ("///025 BKN020", 2000, True, 2000),
        ("BKN020 //////", None, True, None),
        ("SCT100", None, None, 5000),
    ],
)
def test_ceiling_and_what_is_known_without_one(groups, ceiling_ft, has_ceiling, clear_below_ft):
    cloud = said(groups).cloud
    feet = [value if value is None else round(value / FT, 6) for value in (cloud.ceiling_m, cloud.no_ceiling_below_m)]
    assert (feet[0], cloud.has_ceiling, feet[1]) == (ceiling_ft, has_ceiling, clear_below_ft)
    assert (said(groups).state("cloud") is State.MISSING) is ("/" in groups)


@pytest.mark.parametrize("groups", ["//////", "/////////", "///////// //////"])
def test_a_sky_not_observed_is_none(groups):
    conditions = said(groups)
    assert (conditions.cloud, conditions.state("cloud")) == (None, State.MISSING)


@pytest.mark.parametrize(
    ("groups", "has_cumulonimbus"),
    [
        ("BKN020CB", True),
        ("//////CB", True),
        ("BKN020", False),
        ("BKN020TCU", False),
        ("SKC", False),
        ("NSC", False),
        ("CAVOK", False),
        ("NCD", None),
        ("CLR", None),
        ("VV004", None),
        ("BKN020///", None),
        ("AUTO BKN020", None),
        ("AUTO BKN020CB", True),
    ],
)
def test_whether_there_is_a_cumulonimbus(groups, has_cumulonimbus):
    assert said(groups).cloud.has_cumulonimbus is has_cumulonimbus


def test_convective_cloud_is_kept_with_its_layer():
    layers = said("FEW015 SCT020TCU BKN030CB OVC040///").cloud.layers
    assert [layer.convective for layer in layers] == ["", "TCU", "CB", None]


def test_every_fact_keeps_the_text_it_was_read_from():
    conditions = said("24010G20KT 200V280 1 1/2SM R01/1000FT -RA BKN008 OVC012 18/16 A2992")
    texts = {
        "wind": conditions.wind.text,
        "visibility": conditions.visibility.text,
        "visual range": conditions.runway_visual_range[0].text,
        "weather": conditions.weather[0].text,
        "cloud": conditions.cloud.text,
        "temperature": conditions.temperature.text,
        "dew point": conditions.dew_point.text,
        "altimeter": conditions.altimeter.text,
    }
    assert texts == {
        "wind": "24010G20KT 200V280",
        "visibility": "1 1/2SM",
        "visual range": "R01/1000FT",
        "weather": "-RA",
        "cloud": "BKN008 OVC012",
        "temperature": "18/16",
        "dew point": "18/16",
        "altimeter": "A2992",
    }
