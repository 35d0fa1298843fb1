"""The keys under which an aircraft's own figures are found, by which a reading is judged.

No figure of a type stands in a list. A reading names a key, and the aircraft's definition (or the limits written on
it) holds the figure and its page.
"""

from __future__ import annotations

from gyrewright.limits import QUANTITIES

CARD: dict[str, str] = {
    "tire_main": "pressure",
    "tire_nose": "pressure",
    "propeller_clearance": "length",
    "static_rpm": "rotation",
    "prerotation_target": "rotation",
    "rotor_lowest": "rotation",
    "rotor_highest": "rotation",
    "rotor_most": "rotation",
    "oil_pressure_lowest": "pressure",
    "oil_pressure_cold": "pressure",
    "oil_temperature_lowest": "temperature",
    "oil_temperature_highest": "temperature",
    "coolant_highest": "temperature",
    "fuel_pressure_lowest": "pressure",
    "fuel_pressure_highest": "pressure",
    "air_pressure_lowest": "pressure",
    "battery_rest_lowest": "voltage",
    "charging_lowest": "voltage",
    "charging_highest": "voltage",
    "boost_lowest": "pressure",
    "boost_highest": "pressure",
    "inlet_temperature_least": "temperature",
    "oil_pressure_rise_most": "time",
    "oil_level_lowest": "share",
    "oil_level_highest": "share",
    "cool_down_least": "time",
    "engine_cooling": "time",
    "fuel_standing": "time",
    "ignition_drop_most": "rotation",
    "ignition_difference_most": "rotation",
    "brake_travel_most": "share",
    "brake_pad_least": "length",
    "propeller_nick_length_most": "length",
    "propeller_nick_depth_most": "length",
    "propeller_gap_apart_most": "length",
    "propeller_track_most": "length",
    "gearbox_slack_least": "angle",
    "gearbox_slack_most": "angle",
    "shaft_run_out_most": "length",
    "rudder_play_most": "length",
    "bearing_lift_most": "length",
    "teeter_play_most": "length",
    "teeter_gap_apart_most": "length",
    "teeter_grease_hours": "time",
    "blade_dent_most": "length",
    "trailing_edge_length_most": "length",
    "trailing_edge_depth_most": "length",
    "tip_heights_apart_most": "length",
}
"""Figures of the aircraft's manuals, printed on cards."""

COUNTS: tuple[str, ...] = (
    "head_pins",
    "pins_lower_left",
    "pins_lower_right",
    "pins_upper_rods",
    "rotor_blades",
    "bolts_each_blade",
    "mast_bolts",
    "propeller_blades",
    "propeller_bolts_seen",
    "spinner_screws",
    "gear_bolts_each_side",
    "tailplane_bolts",
    "engine_bolts_each_side",
    "exhaust_springs",
    "plug_caps",
    "cowl_fasteners",
    "electric_pumps",
)
"""How many there are of a thing, counted once on the complete aircraft and written into its definition."""

SHEET: dict[str, str] = {"ballast_on_sheet": "mass", "weighed_on": "date", "manual_revision": "text"}
"""What the loading sheet and the papers of the day say."""


def dimension_of(key: str) -> str:
    """Return the kind of figure that a key holds ("count", "date" and "text" among them); empty for no key at all."""
    if key in COUNTS:
        return "count"
    limited = QUANTITIES.get(key)
    return CARD.get(key) or SHEET.get(key) or (limited.dimension if limited else "")
