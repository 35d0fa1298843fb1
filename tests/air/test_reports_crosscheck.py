"""The published reports beside a general-purpose library: where the two differ, and why."""

import warnings
from datetime import UTC, datetime

import pytest
from metar.Metar import Metar as LibraryMetar

from gyrewright.air.reports import decode_metar

RECEIVED = datetime(2027, 6, 15, 18, 0, tzinfo=UTC)
FT = 0.3048


def one_each(block):
    """The reports of a block of text, each ended by "="."""
    return tuple(" ".join(report.split()) for report in block.split("=") if report.strip())


REPORTS = one_each("""
METAR KBNA 281250Z 33018KT 290V360 1/2SM R31/2700FT SN BLSN FG VV008 00/M03 A2991 RMK RAE42SNB42=
SPECI KCVG 152224Z 28024G36KT 3/4SM +TSRA BKN008 OVC020CB 28/23 A3000 RMK TSRAB24 TS W MOV E=
METAR KOKC 011955Z AUTO 22015G25KT 180V250 3/4SM R17L/2600FT +TSRA BR OVC010CB 18/16 A2992 RMK AO2 TSB25 TS OHD MOV
    E SLP132=
METAR KGGG 161753Z AUTO 14021G26KT 3/4SM +TSRA BR BKN008 OVC012CB 18/17 A2970 RMK PRESFR=
METAR KBHM 111155Z VRB04KT 1/4SM FG -RA VV004 06/05 A2994 RMK AO2 SLP140=
METAR KPNS 111150Z 21010Z 3SM BKN014 OVC025 09/03 A2973=
METAR YUDO 221630Z 24004MPS 0600 R12/1000U DZ FG SCT010 OVC020 17/16 Q1018 BECMG TL1700 0800 FG BECMG AT1800 9999
    NSW=
METAR YUDO 221630Z NIL=
METAR FSIA 220100Z AUTO 14014KT 120V180 9999 ///////// 27/23 Q1010=
METAR EDDM 022150Z 26006KT CAVOK 02/01=
METAR EDDM 022150Z 26006KT CAVOK 201/16=
""")
GROUPS = (
    *("13008KT", "08032G45KT", "VRB04KT", "00000KT", "210103G130KT", "32012G22KT 280V350"),
    *("7SM", "15SM", "1/2SM", "M1/4SM", "10SM", "1 1/2SM", "////"),
    *("R32L/1200FT", "R27R/M1000V4000FT", "R01L/0800FT", "R01L/0600V1000FT", "R01L/M0600FT", "R27/P6000FT"),
    *("SCT025TCU BKN080 BKN250", "SCT008 OVC012CB", "1/8SM FG VV006", "BKN000", "SCT005 BKN025CB", "VV008", "0VC004"),
    *("15/08", "00/M02", "M05/", "04/M02", "02/", "03/M01 RMK T00261015"),
    *("RMK SLP982", "RMK SLP132", "RMK SLP045", "RMK SLPNO"),
    *("TSRA", "+SN", "-RA FG", "FZDZ", "VCSH", "+SHRASNPL", "BRHZ", "VA"),
)
ALL = (*REPORTS, *(f"METAR KXYZ 141955Z {groups}" for groups in GROUPS))


def ours(text):
    said = decode_metar(text, received_on=RECEIVED).conditions
    wind, cloud = said.wind, said.cloud
    found = {
        "direction": wind and wind.wind_from_true_deg,
        "speed": wind and wind.wind_m_s,
        "gust": wind and wind.gust_m_s,
        "sector": wind and (wind.sector_from_true_deg, wind.sector_to_true_deg),
        "visibility": said.visibility and said.visibility.visibility_m,
        "visibility bound": said.visibility and {"less than": "<", "exactly": None}.get(said.visibility.relation, ">"),
        "visual range": [
            (one.runway, one.visual_range_m, one.highest_m or one.visual_range_m)
            for one in said.runway_visual_range or ()
        ],
        "weather": [one.text for one in said.weather or ()],
        "layers": [(one.amount, one.base_m, one.convective or None) for one in cloud.layers] if cloud else [],
        "temperature": said.temperature and said.temperature.air_temperature_k,
        "dew point": said.dew_point and said.dew_point.dew_point_k,
        "altimeter": said.altimeter and said.altimeter.altimeter_pa,
        "sea level": decode_metar(text, received_on=RECEIVED).remarks.sea_level_pressure_pa,
    }
    if wind and wind.sector_from_true_deg is None:
        found["sector"] = None
    return found


def theirs(text):
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        said = LibraryMetar(text, month=6, year=2027, strict=False)
    return {
        "direction": said.wind_dir and said.wind_dir.value(),
        "speed": said.wind_speed and said.wind_speed.value("MPS"),
        "gust": said.wind_gust and said.wind_gust.value("MPS"),
        "sector": said.wind_dir_from and (said.wind_dir_from.value(), said.wind_dir_to.value()),
        "visibility": said.vis and said.vis.value("M"),
        "visibility bound": said.vis and said.vis._gtlt,
        "visual range": [(name, low.value("M"), high.value("M")) for name, low, high, _ in said.runway],
        "weather": ["".join(part or "" for part in parts) for parts in said.weather],
        "layers": [(cover, height and height.value("M"), cloud) for cover, height, cloud in said.sky],
        "temperature": said.temp and said.temp.value("K"),
        "dew point": said.dewpt and said.dewpt.value("K"),
        "altimeter": said.press and said.press.value("HPA") * 100.0,
        "sea level": said.press_sea_level and said.press_sea_level.value("HPA") * 100.0,
    }


# The library converts feet and inches of mercury with factors of six or seven digits.
CONVERSION = 1e-5

# (text, what is compared): (ours, theirs, why they differ).
EXPLAINED = {
    ("METAR FSIA 220100Z AUTO 14014KT 120V180 9999 ///////// 27/23 Q1010", "weather"): (
        [],
        ["/////////"],
        "a cloud group not observed is taken for weather; the report has no weather group",
    ),
    ("METAR EDDM 022150Z 26006KT CAVOK 02/01", "visibility bound"): (
        ">",
        None,
        "CAVOK says 10 km or more; the library makes it 10 km exactly",
    ),
    ("METAR EDDM 022150Z 26006KT CAVOK 201/16", "visibility bound"): (
        ">",
        None,
        "CAVOK says 10 km or more; the library makes it 10 km exactly",
    ),
    ("METAR KXYZ 141955Z ////", "visibility"): (
        None,
        10000.0,
        "a visibility not observed becomes 10 km; with us it is missing",
    ),
    ("METAR KXYZ 141955Z 0VC004", "layers"): (
        [],
        [("OVC", 400.0 * FT, None)],
        "a digit is repaired to a letter unasked; with us the group is unread and the cloud lost",
    ),
}


def same(one, other):
    if isinstance(one, float) and isinstance(other, float):
        return one == pytest.approx(other, rel=CONVERSION)
    if isinstance(one, list | tuple) and isinstance(other, list | tuple):
        return len(one) == len(other) and all(map(same, one, other))
    return one == other


@pytest.mark.parametrize("text", ALL)
def test_every_difference_to_the_library_is_explained(text):
    here, there = ours(text), theirs(text)
    found = {(text, key): (here[key], there[key]) for key in here if not same(here[key], there[key])}
    explained = {key: why[:2] for key, why in EXPLAINED.items() if key[0] == text}
    assert found.keys() == explained.keys()
    assert all(same(found[key][side], explained[key][side]) for key in found for side in (0, 1))


def test_every_explanation_belongs_to_a_report_compared():
    assert {text for text, _ in EXPLAINED} <= set(ALL)
