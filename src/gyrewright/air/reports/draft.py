"""Facts while they are collected: what was said twice, what was said differently, what was lost."""

from __future__ import annotations

from typing import TypeVar

from gyrewright.air.reports.facts import (
    Altimeter,
    Cloud,
    Conditions,
    DewPoint,
    DirectionalVisibility,
    Layer,
    Phenomenon,
    RunwayVisualRange,
    Temperature,
    Visibility,
    Wind,
    WindShear,
)
from gyrewright.units import M_PER_FT

_T = TypeVar("_T")

# What a full statement of the weather must hold; in a report, and where a forecast starts afresh.
NEEDED_IN_REPORT = frozenset({"wind", "visibility", "weather", "cloud", "temperature", "dew_point", "altimeter"})
NEEDED_IN_FORECAST = frozenset({"wind", "visibility", "weather", "cloud"})

CEILINGS = frozenset({"BKN", "OVC", "VV"})

# How high a sky without a ceiling is known to have none. International reports leave out higher cloud of no
# importance to flight; automatic United States stations look no higher than 12,000 ft. Source: [AIM2023] 7-1-29 for
# CLR and SKC, [AWH28] 27.3.2.6 for CAVOK; for NSC, NCD and few or scattered cloud alone from memory of the code.
OPERATIONAL_M = 5000.0 * M_PER_FT
AUTOMATIC_M = 12000.0 * M_PER_FT
_CLEAR_REACH_M = {"SKC": None, "CLR": AUTOMATIC_M, "NSC": OPERATIONAL_M, "NCD": OPERATIONAL_M, "CAVOK": OPERATIONAL_M}
_NO_CUMULONIMBUS = frozenset({"SKC", "NSC", "CAVOK"})


class Draft:
    """The facts of one stretch of text, open for more until it is closed into `Conditions`."""

    __slots__ = (
        "altimeters",
        "celsius",
        "clear",
        "contradictory",
        "dew_point",
        "directional",
        "is_automatic",
        "layers",
        "lost",
        "missing",
        "no_weather",
        "runway_visual_range",
        "sector",
        "temperature",
        "visibility",
        "weather",
        "wind",
        "wind_shear",
    )

    def __init__(self) -> None:
        self.wind: Wind | None = None
        self.sector: tuple[float, float, str] | None = None
        self.visibility: Visibility | None = None
        self.directional: list[DirectionalVisibility] = []
        self.runway_visual_range: list[RunwayVisualRange] = []
        self.weather: list[Phenomenon] = []
        self.no_weather = False
        self.layers: list[Layer] = []
        self.clear = ""
        self.celsius: dict[str, int] = {}
        self.temperature: Temperature | None = None
        self.dew_point: DewPoint | None = None
        self.altimeters: list[tuple[Altimeter, float]] = []
        self.wind_shear: list[WindShear] = []
        self.is_automatic = False
        self.lost: set[str] = set()
        self.contradictory: set[str] = set()
        self.missing: set[str] = set()

    def once(self, fact: str, before: _T | None, now: _T) -> _T:
        """Return the value of a fact that is given once; given again, it must be the same."""
        if before is not None and before != now:
            self.contradictory.add(fact)
        return now

    def close(self, *, needed: frozenset[str] = frozenset(), is_empty: bool = False) -> Conditions:
        """Return the conditions collected.

        Args:
            needed: The facts that this text must state; those it does not are missing. Weather is stated by silence,
                if anything else that is needed is stated.
            is_empty: The text declares itself empty, so that whatever it states contradicts that.
        """
        cloud = self._cloud()
        weather = tuple(self.weather) if self.weather or self.no_weather else None
        if self.weather and self.no_weather:
            self.contradictory.add("weather")
        facts: dict[str, object] = {
            "wind": self._wind(),
            "visibility": self._visibility(),
            "runway_visual_range": tuple(self.runway_visual_range) or None,
            "weather": weather,
            "cloud": cloud,
            "temperature": self.temperature,
            "dew_point": self.dew_point,
            "altimeter": self._altimeter(),
            "wind_shear": tuple(self.wind_shear) or None,
        }
        stated = {fact for fact, value in facts.items() if value is not None}
        if is_empty:
            self.contradictory |= stated
        elif needed & stated and weather is None and "weather" not in self.missing:
            # No weather group beside the others: none is reported.
            facts["weather"] = ()
            stated.add("weather")
        # A value beside a group that says not observed: only what is printed in parts may be known in part.
        self.contradictory |= self.missing & stated & {"visibility", "temperature", "dew_point", "altimeter"}
        unknown = self.lost | self.contradictory
        self.missing |= needed - stated
        for fact in unknown & stated:
            facts[fact] = None
        return Conditions(
            **facts,  # type: ignore[arg-type]
            lost=frozenset(self.lost),
            contradictory=frozenset(self.contradictory - self.lost),
            missing=frozenset(self.missing - unknown),
        )

    def _wind(self) -> Wind | None:
        wind = self.wind
        if wind is None or self.sector is None:
            return wind
        first_deg, last_deg, text = self.sector
        return Wind(
            wind.wind_from_true_deg,
            wind.wind_m_s,
            wind.gust_m_s,
            wind.wind_relation,
            wind.gust_relation,
            wind.wind_is_variable,
            wind.gust_is_missing,
            first_deg,
            last_deg,
            f"{wind.text} {text}",
        )

    def _visibility(self) -> Visibility | None:
        main = self.visibility
        if main is None or not self.directional:
            return main
        return Visibility(main.visibility_m, main.relation, tuple(self.directional), main.text)

    def _altimeter(self) -> Altimeter | None:
        """Return the finest of the settings given; two agree where, rounded down as printed, they can be the same."""
        if not self.altimeters:
            return None
        finest, finest_step_pa = min(self.altimeters, key=lambda item: item[1])
        for other, step_pa in self.altimeters:
            if step_pa == finest_step_pa:
                agree = other == finest
            else:
                above_pa = finest.altimeter_pa - other.altimeter_pa
                agree = -finest_step_pa < above_pa < step_pa
            if not agree:
                self.contradictory.add("altimeter")
        return finest

    def _cloud(self) -> Cloud | None:
        if self.clear and self.layers:
            self.contradictory.add("cloud")
        if self.clear:
            reach_m = _CLEAR_REACH_M[self.clear]
            has_ceiling = False if reach_m is None else None
            has_cumulonimbus = False if self.clear in _NO_CUMULONIMBUS else None
            return Cloud((), None, has_ceiling, reach_m, has_cumulonimbus, self.clear)
        layers = [
            layer for layer in self.layers if (layer.amount, layer.base_m, layer.convective) != (None, None, None)
        ]
        if not layers:
            return None
        ceilings = [layer for layer in layers if layer.amount in CEILINGS]
        # A layer of unknown amount may be a ceiling, one of unknown base may lie anywhere.
        possible = [layer.base_m for layer in self.layers if layer.amount in CEILINGS or layer.amount is None]
        bases_m = [base_m for base_m in possible if base_m is not None]
        clear_below_m: float | None = min(bases_m, default=OPERATIONAL_M) if len(bases_m) == len(possible) else None
        ceiling_m = min((layer.base_m for layer in ceilings if layer.base_m is not None), default=None)
        if ceiling_m != clear_below_m:
            ceiling_m = None
        if any(layer.convective == "CB" for layer in layers):
            has_cumulonimbus = True
        else:
            unsure = self.is_automatic or any(layer.convective is None for layer in self.layers)
            has_cumulonimbus = None if unsure else False
        text = " ".join(layer.text for layer in self.layers)
        return Cloud(tuple(layers), ceiling_m, True if ceilings else None, clear_below_m, has_cumulonimbus, text)
