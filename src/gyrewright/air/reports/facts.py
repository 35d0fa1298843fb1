"""What a weather report can say: facts in SI, each beside the text of the group it was read from.

A fact has a value only while nothing speaks against it. Where a group that could not be read may have carried it, or
where two groups disagree, its value is None and its name stands in `lost` or `contradictory`; what the report itself
calls not observed stands in `missing`. None of the three is ever zero, and none is ever fine.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime
from enum import StrEnum

WEATHER_FACTS = (
    "wind",
    "visibility",
    "runway_visual_range",
    "weather",
    "cloud",
    "temperature",
    "dew_point",
    "altimeter",
    "wind_shear",
)


class Relation(StrEnum):
    """How a printed number stands to the true one."""

    EXACTLY = "exactly"
    LESS_THAN = "less than"
    MORE_THAN = "more than"
    AT_LEAST = "at least"


class State(StrEnum):
    """What is known of one fact."""

    KNOWN = "known"
    MISSING = "missing"
    UNREAD = "unread"
    CONTRADICTORY = "contradictory"
    NOT_STATED = "not stated"


@dataclass(frozen=True, slots=True)
class Group:
    """One group of the text in its place: what kind it is, and whether it was read."""

    text: str
    kind: str
    was_read: bool


@dataclass(frozen=True, slots=True)
class Unread:
    """A group that could not be read, and the names of the facts that it may have carried."""

    text: str
    may_have_carried: frozenset[str]


@dataclass(frozen=True, slots=True)
class Wind:
    """Mean wind and gust, direction true.

    `wind_from_true_deg` is None for a variable wind and for a direction not observed, `wind_m_s` for a speed not
    observed. Calm is a speed of zero. `gust_m_s` is None where no gust is reported, or where `gust_is_missing`.
    """

    wind_from_true_deg: float | None
    wind_m_s: float | None
    gust_m_s: float | None = None
    wind_relation: Relation = Relation.EXACTLY
    gust_relation: Relation = Relation.EXACTLY
    wind_is_variable: bool = False
    gust_is_missing: bool = False
    sector_from_true_deg: float | None = None
    sector_to_true_deg: float | None = None
    text: str = field(default="", compare=False)


@dataclass(frozen=True, slots=True)
class DirectionalVisibility:
    """Visibility towards one direction, where it is printed beside the prevailing one."""

    visibility_m: float
    direction: str
    text: str = field(default="", compare=False)


@dataclass(frozen=True, slots=True)
class Visibility:
    """Prevailing visibility, and the values that differ from it by direction."""

    visibility_m: float
    relation: Relation
    directional: tuple[DirectionalVisibility, ...] = ()
    text: str = field(default="", compare=False)


@dataclass(frozen=True, slots=True)
class RunwayVisualRange:
    """Visual range along one runway; `highest_m` where it varies. `tendency` is "up", "down", "none" or empty."""

    runway: str
    visual_range_m: float
    relation: Relation
    highest_m: float | None = None
    highest_relation: Relation = Relation.EXACTLY
    tendency: str = ""
    text: str = field(default="", compare=False)


@dataclass(frozen=True, slots=True)
class Phenomenon:
    """One weather group in its parts. `intensity` is empty where the code has none: fog, thunder alone, vicinity."""

    intensity: str
    is_in_vicinity: bool
    descriptor: str
    phenomena: tuple[str, ...]
    text: str


@dataclass(frozen=True, slots=True)
class Layer:
    """A cloud layer, its base above the ground.

    `amount` is None where not observed, VV for a vertical visibility. A base of zero means below 50 ft. `convective`
    is CB or TCU, empty where neither is reported, None where it was not observed.
    """

    amount: str | None
    base_m: float | None
    convective: str | None
    text: str = field(default="", compare=False)


@dataclass(frozen=True, slots=True)
class Cloud:
    """The sky. A ceiling is the lowest broken or overcast layer, or a vertical visibility.

    `has_ceiling` is None where the report does not reach far enough to tell; then no ceiling lies below
    `no_ceiling_below_m`, and nothing is known above it. With `has_ceiling` false and no such height there is none at
    all. `has_cumulonimbus` is None where it was not observed.
    """

    layers: tuple[Layer, ...]
    ceiling_m: float | None
    has_ceiling: bool | None
    no_ceiling_below_m: float | None
    has_cumulonimbus: bool | None
    text: str = field(default="", compare=False)


@dataclass(frozen=True, slots=True)
class Temperature:
    """Air temperature, from the tenths remark where there is one."""

    air_temperature_k: float
    text: str = field(default="", compare=False)


@dataclass(frozen=True, slots=True)
class DewPoint:
    """Dew point, from the tenths remark where there is one."""

    dew_point_k: float
    text: str = field(default="", compare=False)


@dataclass(frozen=True, slots=True)
class Altimeter:
    """Altimeter setting. In the forecast it is the lowest expected."""

    altimeter_pa: float
    text: str = field(default="", compare=False)


@dataclass(frozen=True, slots=True)
class WindShear:
    """Low wind shear: a wind at a height in a forecast; the runway concerned, or ALL, in a report."""

    height_m: float | None
    wind_from_true_deg: float | None
    wind_m_s: float | None
    runway: str
    text: str = field(default="", compare=False)


@dataclass(frozen=True, slots=True)
class Conditions:
    """The facts of one report, or of one group of a forecast; each field bears the name of its fact.

    An empty tuple of weather means that none is reported. Wind, weather and sky may be known in part: then the name is
    in `missing` beside a value, and the parts of the value not observed are None. `lost` and `missing` may also name
    what is no weather: time, station, validity, remark, recent_weather and the like.
    """

    wind: Wind | None = None
    visibility: Visibility | None = None
    runway_visual_range: tuple[RunwayVisualRange, ...] | None = None
    weather: tuple[Phenomenon, ...] | None = None
    cloud: Cloud | None = None
    temperature: Temperature | None = None
    dew_point: DewPoint | None = None
    altimeter: Altimeter | None = None
    wind_shear: tuple[WindShear, ...] | None = None
    lost: frozenset[str] = frozenset()
    contradictory: frozenset[str] = frozenset()
    missing: frozenset[str] = frozenset()

    def state(self, fact: str) -> State:
        """Return what is known of a fact, by its name."""
        if fact in self.lost:
            return State.UNREAD
        if fact in self.contradictory:
            return State.CONTRADICTORY
        if fact in self.missing:
            return State.MISSING
        return State.NOT_STATED if getattr(self, fact) is None else State.KNOWN


@dataclass(frozen=True, slots=True)
class Period:
    """A group of a forecast that says when, and the conditions that this group itself states.

    `kind` is prevailing, from, becoming, temporary, probable, or unknown: where the group that opens it could not be
    read, neither its times nor what it replaces is known. Times are UTC; None where not known.
    """

    kind: str
    probability_percent: int | None
    start: datetime | None
    end: datetime | None
    conditions: Conditions
    text: str
