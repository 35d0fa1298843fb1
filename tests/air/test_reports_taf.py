"""The forecast as a whole: gyrewright.air.reports.taf."""

from datetime import UTC, datetime

import pytest

from gyrewright.air.reports import WEATHER_FACTS, Relation, State, decode_taf
from gyrewright.errors import ReportError

RECEIVED = datetime(2027, 6, 15, 12, 0, tzinfo=UTC)
KT = 1852.0 / 3600.0


def at(day, hour, minute=0):
    return datetime(2027, 6, day, hour, minute, tzinfo=UTC)


def decoded(groups, validity="1512/1618"):
    return decode_taf(f"TAF KAAA 151130Z {validity} 24010KT P6SM SKC {groups}", received_on=RECEIVED)


GOOD = "TAF KAAA 151130Z 1512/1612 24010KT P6SM SKC"


@pytest.mark.parametrize(
    ("text", "is_amended", "is_correction"),
    [
        (GOOD, False, False),
        (GOOD.removeprefix("TAF "), False, False),
        (f"TAF {GOOD}", False, False),
        (GOOD.replace("TAF", "TAF AMD"), True, False),
        (GOOD.replace("TAF", "TAF TAF COR"), False, True),
        (GOOD + "=", False, False),
    ],
)
def test_the_forms_of_a_forecast(text, is_amended, is_correction):
    taf = decode_taf(text, received_on=RECEIVED)
    assert (taf.unread, taf.lost, taf.text) == ((), frozenset(), text)
    assert (taf.station, taf.issued_at, taf.is_from_future) == ("KAAA", at(15, 11, 30), False)
    assert (taf.valid_from, taf.valid_to) == (at(15, 12), at(16, 12))
    assert (taf.is_amended, taf.is_correction, taf.is_nil, taf.is_canceled) == (is_amended, is_correction, False, False)
    (period,) = taf.periods
    assert (period.kind, period.start, period.end) == ("prevailing", at(15, 12), at(16, 12))
    assert (period.text, period.conditions.missing) == ("24010KT P6SM SKC", frozenset())


@pytest.mark.parametrize(
    "text",
    ["", "TAF", "sunny", GOOD.lower(), "METAR KAAA 151153Z 24010KT", "KAAA 151130Z 24010KT", "TAF one two three"],
)
def test_what_is_no_forecast_is_refused(text):
    with pytest.raises(ReportError, match=r"the text is empty|is no TAF; give one forecast, in capitals, from TAF"):
        decode_taf(text, received_on=RECEIVED)


def test_a_forecast_from_the_future_is_flagged():
    taf = decode_taf(GOOD.replace("151130Z", "151201Z"), received_on=RECEIVED)
    assert (taf.issued_at, taf.is_from_future) == (at(15, 12, 1), True)


def test_the_time_of_issue_may_be_left_out():
    taf = decode_taf(GOOD.replace("151130Z ", ""), received_on=RECEIVED)
    assert (taf.issued_at, taf.is_from_future, taf.unread) == (None, False, ())
    assert (taf.valid_from, taf.valid_to) == (at(15, 12), at(16, 12))


@pytest.mark.parametrize(
    ("validity", "start", "end"),
    [
        ("1500/1524", at(15, 0), at(16, 0)),
        ("1524/1624", at(16, 0), at(17, 0)),
        ("1512/1618", at(15, 12), at(16, 18)),
    ],
)
def test_midnight_is_the_end_of_a_day_or_the_start_of_the_next(validity, start, end):
    taf = decode_taf(GOOD.replace("1512/1612", validity), received_on=RECEIVED)
    assert (taf.valid_from, taf.valid_to) == (start, end)


@pytest.mark.parametrize(
    "validity", ["1512/1619", "1512/1512", "1512/1511", "1525/1612", "0012/1612", "1512/1625", "1512-1612", "151212"]
)
def test_a_validity_that_cannot_be_is_lost(validity):
    taf = decode_taf(GOOD.replace("1512/1612", validity), received_on=RECEIVED)
    assert [one.text for one in taf.unread] == [validity]
    assert "validity" in taf.lost
    assert (taf.valid_from, taf.valid_to) == (None, None)


def test_a_forecast_over_the_end_of_the_month():
    taf = decode_taf(
        "TAF KAAA 302330Z 0100/0206 24010KT P6SM SKC FM010600 25010KT P6SM SKC TEMPO 0200/0203 3SM",
        received_on=datetime(2027, 6, 30, 23, 45, tzinfo=UTC),
    )
    assert taf.issued_at == at(30, 23, 30)
    assert [one.start for one in taf.periods] == [
        datetime(2027, 7, 1, 0, tzinfo=UTC),
        datetime(2027, 7, 1, 6, tzinfo=UTC),
        datetime(2027, 7, 2, 0, tzinfo=UTC),
    ]
    assert taf.periods[1].end == datetime(2027, 7, 2, 6, tzinfo=UTC)


@pytest.mark.parametrize(
    ("change", "kind", "probability", "start", "end"),
    [
        ("FM151830 25010KT 9999 SKC", "from", None, at(15, 18, 30), at(16, 18)),
        ("BECMG 1518/1520 9000", "becoming", None, at(15, 18), at(15, 20)),
        ("TEMPO 1518/1524 9000", "temporary", None, at(15, 18), at(16, 0)),
        ("PROB30 1518/1520 9000", "probable", 30, at(15, 18), at(15, 20)),
        ("PROB40 1518/1520 9000", "probable", 40, at(15, 18), at(15, 20)),
        ("PROB30 TEMPO 1518/1520 9000", "temporary", 30, at(15, 18), at(15, 20)),
        ("TEMPO 1512/1618 9000", "temporary", None, at(15, 12), at(16, 18)),
    ],
)
def test_the_kinds_of_change(change, kind, probability, start, end):
    taf = decoded(change)
    assert taf.unread == ()
    found = taf.periods[-1]
    assert (found.kind, found.probability_percent, found.start, found.end) == (kind, probability, start, end)
    assert found.text == change


@pytest.mark.parametrize(
    "change",
    [
        *("FM1518 27020KT", "FM151860 27020KT", "FM152500 27020KT", "FM161800 27020KT", "FM151100 27020KT"),
        *("F151830 27020KT", "FM15183O 27020KT", "FM 151830 27020KT", "FN151830 27020KT"),
        *("BECMG 1518 27020KT", "BECMG 1518/1518 27020KT", "BECMG 1520/1518 27020KT", "BECMG 1518/1619 27020KT"),
        *("BECMG 1511/1514 27020KT", "BECNG 1518/1520 27020KT", "BECMG1518/1520 27020KT", "1518/1520 27020KT"),
        *("TEMPO 27020KT", "TEMPO 15l8/1520 27020KT", "PROB20 1518/1520 27020KT", "PROB30 BECMG 1518/1520 27020KT"),
        *("INTER 1518/1520 27020KT", "RMK FM151830 27020KT", "RMK TEMPO 1518/1520 27020KT", "XQJZW 27020KT"),
    ],
)
def test_a_change_that_cannot_be_read_leaves_its_weather_to_no_other_period(change):
    taf = decoded(f"TEMPO 1513/1514 3SM {change} FM160600 28005KT 9999 SKC")
    assert taf.unread
    assert taf.periods[1].conditions.state("wind") in (State.NOT_STATED, State.UNREAD)
    unknown = [one for one in taf.periods if one.kind == "unknown"]
    assert unknown
    for one in unknown:
        assert (one.start, one.end) == (None, None)
        assert {one.conditions.state(fact) for fact in WEATHER_FACTS} == {State.UNREAD}
    if not change.startswith("RMK"):
        assert taf.periods[-1].conditions.wind.wind_m_s == pytest.approx(5 * KT)


def test_a_from_group_that_steps_back_is_not_read():
    taf = decoded("FM151800 25010KT 9999 SKC FM151700 26010KT 9999 SKC")
    assert [one.text for one in taf.unread] == ["FM151700"]
    taf = decoded("FM151800 25010KT 9999 SKC FM151800 26010KT 9999 SKC")
    assert [one.text for one in taf.unread] == ["FM151800"]


def test_a_lasting_change_belongs_to_the_hours_after_its_from_group():
    assert decoded("FM151830 25010KT 9999 SKC BECMG 1518/1520 9000").unread == ()
    assert decoded("FM151830 25010KT 9999 SKC BECMG 1517/1520 9000").unread != ()
    assert decoded("FM151830 25010KT 9999 SKC TEMPO 1517/1520 9000").unread == ()


def test_a_period_that_starts_afresh_must_state_wind_visibility_and_sky():
    taf = decoded("FM151830 25010KT TEMPO 1520/1522 9000")
    assert taf.periods[1].conditions.missing == {"visibility", "cloud"}
    assert taf.periods[2].conditions.missing == frozenset()
    assert taf.periods[2].conditions.state("wind") is State.NOT_STATED


def test_a_group_that_cannot_be_read_takes_its_fact_only_in_its_own_period():
    taf = decoded("TEMPO 1518/1520 9000 BKNO10 FM160000 25010KT 9999 BKN020")
    assert [one.text for one in taf.unread] == ["BKNO10"]
    assert [one.conditions.state("cloud") for one in taf.periods] == [State.KNOWN, State.UNREAD, State.KNOWN]
    assert taf.periods[1].conditions.state("visibility") is State.KNOWN
    assert taf.lost == {"cloud"}


def test_two_values_in_one_period_contradict_each_other():
    assert decoded("9999").periods[0].conditions.state("visibility") is State.CONTRADICTORY


@pytest.mark.parametrize("word", ["NIL", "CNL"])
def test_values_in_an_empty_forecast_contradict_it(word):
    taf = decoded(word)
    assert taf.periods[0].conditions.state("wind") is State.CONTRADICTORY
    assert all(getattr(taf.periods[0].conditions, fact) is None for fact in WEATHER_FACTS)


def test_highest_and_lowest_temperature():
    taf = decoded("TX31/1520Z TNM02/1605Z")
    assert taf.unread == ()
    assert [(one.kind, one.at, one.text) for one in taf.extreme_temperatures] == [
        ("highest", at(15, 20), "TX31/1520Z"),
        ("lowest", at(16, 5), "TNM02/1605Z"),
    ]
    assert [one.air_temperature_k - 273.15 for one in taf.extreme_temperatures] == pytest.approx([31.0, -2.0])


@pytest.mark.parametrize("group", ["TX61/1520Z", "TNM91/1520Z", "TX31/1519", "TX31/1720Z", "TX31/1525Z"])
def test_an_extreme_temperature_that_cannot_be_is_unread(group):
    taf = decoded(group)
    assert [one.text for one in taf.unread] == [group]
    assert taf.extreme_temperatures == ()
    assert taf.periods[0].conditions.state("wind") is State.KNOWN


@pytest.mark.parametrize("group", ["TX60/1520Z", "TNM90/1520Z"])
def test_extreme_temperatures_up_to_the_end_of_the_scale(group):
    assert decoded(group).unread == ()


def test_wind_shear_in_meters_per_second():
    (shear,) = decoded("WS020/36020MPS").periods[0].conditions.wind_shear
    assert (shear.wind_from_true_deg, shear.wind_m_s, shear.height_m) == (360.0, 20.0, pytest.approx(609.6))


@pytest.mark.parametrize("group", ["WS010/31522KT", "WS010/00022KT", "WS010/37022KT", "WS01O/31022KT"])
def test_wind_shear_that_cannot_be_is_unread(group):
    taf = decoded(group)
    assert [one.text for one in taf.unread] == [group]
    assert taf.periods[0].conditions.state("wind_shear") is State.UNREAD


@pytest.mark.parametrize(
    "text",
    [
        *("AMD NOT SKED", "AMD NOT SKED AFT 160300", "AMD NOT SKED TIL 151800Z", "AMD NOT SKED 1518/1612"),
        *("AMD LTD TO CLD VIS AND WIND", "AMD LTD TO WIND AFT 160300", "LAST NO AMDS AFT 1510 NEXT 1520"),
        *("620304", "520004", "RMK NXT FCST BY 151500Z", "RMK AMD NOT SKED"),
    ],
)
def test_groups_that_carry_no_fact_used_here_are_read_and_kept(text):
    taf = decoded(text)
    assert taf.unread == ()
    assert text.removeprefix("RMK ") in [group.text for group in taf.groups]
    assert taf.periods[0].conditions.state("wind") is State.KNOWN


def test_plain_language_in_remarks_is_listed_and_takes_nothing_with_it():
    taf = decoded("RMK BASED ON AUTO OBS")
    assert [one.text for one in taf.unread] == ["BASED", "ON", "AUTO", "OBS"]
    assert taf.lost == {"remark"}
    assert taf.periods[0].conditions.lost == frozenset()


def test_a_forecast_in_the_joint_use_form():
    taf = decode_taf(
        "TAF KAAA 151100Z 1511/1617 21010G15KT 9999 SCT030 QNH2992INS BECMG 1518/1519 22010KT 4800 -RA OVC020 620304 "
        "520004 QNH2985INS TX25/1519Z TN15/1610Z",
        received_on=RECEIVED,
    )
    assert taf.unread == ()
    first, second = (one.conditions for one in taf.periods)
    assert (first.altimeter.text, second.altimeter.text) == ("QNH2992INS", "QNH2985INS")
    assert (second.visibility.visibility_m, second.visibility.relation) == (4800.0, Relation.EXACTLY)


def test_every_group_stands_in_its_place():
    taf = decode_taf("TAF AMD KAAA 151130Z 1512/1612 24O10KT P6SM PROB30 TEMPO 1518/1520 3SM", received_on=RECEIVED)
    assert [(group.kind, group.text, group.was_read) for group in taf.groups] == [
        ("report", "TAF", True),
        ("revision", "AMD", True),
        ("station", "KAAA", True),
        ("time", "151130Z", True),
        ("validity", "1512/1612", True),
        ("unread", "24O10KT", False),
        ("visibility", "P6SM", True),
        ("change", "PROB30 TEMPO 1518/1520", True),
        ("visibility", "3SM", True),
    ]
