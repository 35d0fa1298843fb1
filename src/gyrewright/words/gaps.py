"""What fills the gaps of a finding's sentences: its own parameters, and the numbers beside the limit that binds."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import date, timedelta
from typing import Any

from gyrewright.air.weather import CLEAR_M
from gyrewright.finding import Finding, Layer, Sense, Verdict, Whose
from gyrewright.words.numbers import Compared, chosen, compared, typed_number
from gyrewright.words.voice import Voice

TIMES = "x "
"""How the text of a factor begins: the distance must fit so many times."""


def binding_layer(finding: Finding) -> Layer | None:
    """Return the layer that binds; the first with a figure where none is marked; None where no layer has one."""
    first = None
    for layer in finding.layers:
        if layer.binds:
            return layer
        if first is None and layer.limit.value is not None:
            first = layer
    return first


def factor_of(layer: Layer) -> float:
    """Return how many times a distance must fit, 1 for a plain limit."""
    typed = layer.limit.typed
    return float(typed[len(TIMES) :]) if typed.startswith(TIMES) else 1.0


def symbol_of(voice: Voice, finding: Finding) -> str:
    """Return the unit that a finding's numbers are read in."""
    return chosen(finding.dimension, voice.preferred, _typed(voice, finding))


def _typed(voice: Voice, finding: Finding) -> Iterator[str]:
    """Yield what was typed for this finding, nearest first: the limits, the runway, the facts it rests on."""
    for layer in sorted(finding.layers, key=lambda layer: not layer.binds):
        yield layer.limit.typed
    facts = voice.sheet.facts
    if any(layer.limit.whose is Whose.PLACE for layer in finding.layers):
        yield facts["runway_length_m"].typed
    for name in finding.inputs:
        if name in facts:
            yield facts[name].typed


def layer_numbers(voice: Voice, finding: Finding, layer: Layer, symbol: str) -> Compared | None:
    """Return value, limit and margin of a layer as they are read; None where there is nothing to compare."""
    limit = layer.limit
    if limit.value is None or layer.value is None:
        return None
    if isinstance(limit.value, date):
        return _dates(voice, layer)
    if is_clock(finding):
        return _times(voice, layer)
    return compared(
        finding.dimension,
        symbol,
        value=float(layer.value),
        limit=float(limit.value),
        margin=float(layer.margin),
        sense=limit.sense,
        passes=layer.passes,
        typed_limit=limit.typed,
    )


def is_clock(finding: Finding) -> bool:
    """Return whether a finding's number is a time by the clock, and not hours of a meter or a plain number."""
    room, _, rest = finding.id.partition(".")
    return finding.dimension == "time" and (room in ("light", "time") or rest.endswith("_age"))


def _dates(voice: Voice, layer: Layer) -> Compared:
    """Return days in words; what is left between them is counted in days."""
    days = "" if layer.margin is None else voice.quantity("days", abs(float(layer.margin)))
    return Compared(voice.text("", layer.value), voice.text("", layer.limit.value), days, "")


def _times(voice: Voice, layer: Layer) -> Compared:
    """Return lengths of time in words; each is rounded to the side on which it reads no better than it is."""
    limit = layer.limit
    value = voice.duration(layer.value, careful="up" if limit.sense.is_upper else "down")
    bound = limit.typed if typed_number("time", limit.typed, "min") else voice.duration(limit.value)
    margin = voice.duration(layer.margin, careful="down" if layer.passes else "up")
    return Compared(value, bound, margin, "")


WHEN_SAID = "_at"
"""How the name of a fact ends that says when another was said."""


class Gaps:
    """The gaps of one finding, worked out as a sentence asks for them."""

    def __init__(self, voice: Voice, finding: Finding) -> None:
        self.voice = voice
        self.finding = finding
        self.layer = binding_layer(finding)
        self._numbers: Compared | None = None
        self._times: Compared | None = None
        self._symbol = ""
        self._variants: tuple[str, ...] | None = None

    @property
    def symbol(self) -> str:
        """The unit of the finding's numbers."""
        if not self._symbol:
            self._symbol = symbol_of(self.voice, self.finding)
        return self._symbol

    @property
    def numbers(self) -> Compared | None:
        """Value, limit and margin of the binding layer."""
        if self._numbers is None and self.layer is not None:
            self._numbers = layer_numbers(self.voice, self.finding, self.layer, self.symbol)
        return self._numbers

    def variants(self) -> Iterator[str]:
        """Yield the ways in which this finding's sentence may differ, the most particular first."""
        finding, layer = self.finding, self.layer
        if "table_there" in finding.lacking:
            yield "table"
        if "envelope_at_this_mass" in finding.lacking:
            yield "mass"
        if layer is None or layer.limit.value is None:
            return
        if finding.id.startswith("light.") and layer.value is not None:
            if abs(layer.value) == 24.0:  # the sun stays up, or down, all day
                yield "never"
            if layer.limit.value == 0.0:
                yield "zero"
        if finding.id == "weather.cloud_base" and layer.value is not None and layer.value >= CLEAR_M:
            yield "clear"
        if layer.value == 0.0 and not is_clock(finding):
            yield "nil"
        if layer.limit.typed.startswith(TIMES):
            yield "factored"
        if layer.limit.demonstrated:
            yield "demonstrated"
        if not layer.limit.sense.is_upper:
            yield "lower"

    def keys(self, key: str) -> tuple[str, ...]:
        """Return the keys of the catalogue under which a sentence may stand, the most particular first."""
        if not (self.finding.layers or self.finding.lacking):
            return (key,)
        if self._variants is None:
            self._variants = tuple(self.variants())
        return (*[f"{key} {variant}" for variant in self._variants], key)

    def get(self, name: str) -> Any:
        """Return what fills a gap, or None where the finding has nothing for it."""
        found = self.finding.params.get(name)
        if found is not None:
            return found if not isinstance(found, str) else self.voice.names.get(found, found)
        made = _MADE.get(name)
        return made(self) if made else None

    # --- the gaps, one by one -----------------------------------------------------------------------------------------

    def _number(self, which: str) -> str | None:
        numbers = self.numbers
        return numbers.with_unit(getattr(numbers, which)) if numbers else None

    def _value(self) -> str | None:
        if self.numbers:
            return self._number("value")
        if self.finding.value is None:
            return None
        if not isinstance(self.finding.value, int | float):
            return self.voice.text("", self.finding.value)
        if is_clock(self.finding):
            return self.voice.duration(self.finding.value)
        return self.voice.quantity(self.finding.dimension, self.finding.value, *_typed(self.voice, self.finding))

    def _margin(self) -> str | None:
        if self.numbers and not self.numbers.margin.strip("0.,"):
            return self.voice.word("margin", "none")
        return self._number("margin")

    def _whose(self) -> str:
        return self.voice.word("whose", self.layer.limit.whose.value) if self.layer else ""

    def _scope(self) -> str:
        limit = self.layer.limit if self.layer else None
        return f" ({limit.scope})" if limit and limit.scope and limit.scope != limit.whose.value else ""

    def _counted(self) -> str:
        return self.voice.word("counted", (self.layer.limit.counts if self.layer else "") or "any")

    def _when(self) -> str:
        """When a limit is first gone beyond, where that is not at once."""
        next_up, depart_at = self.finding.binds_next, self.voice.sheet.value("depart_at")
        if self.finding.verdict is not Verdict.STOP or next_up is None or next_up.at is None or depart_at is None:
            return ""
        if next_up.at <= depart_at:
            return ""
        return self.voice.word("when", "first", at=next_up.at, by=self.voice.by(next_up.by))

    def _lacking(self) -> str:
        lacking = self.finding.lacking
        # Whoever says a thing says when: the time is a gap of its own only where the thing was said.
        alone = [name for name in lacking if not (name.endswith(WHEN_SAID) and name.removesuffix(WHEN_SAID) in lacking)]
        return self.voice.joined(lacking_words(self.voice, name) for name in alone)

    def _no_figure(self) -> str:
        return self.voice.joined(
            layer.limit.typed for layer in self.finding.layers if layer.limit.value is None and layer.limit.typed
        )

    def _factored(self) -> Compared | None:
        """Return the factored distance beside the runway."""
        layer, finding = self.layer, self.finding
        if layer is None or layer.value is None or layer.margin is None:
            return None
        factor = factor_of(layer)
        return compared(
            finding.dimension,
            self.symbol,
            value=layer.value * factor,
            limit=layer.limit.value * factor,
            margin=layer.margin * factor,
            sense=Sense.AT_MOST,
            passes=layer.passes,
            typed_limit=self.voice.sheet.facts["runway_length_m"].typed,
        )

    def _of_factored(self, which: str) -> str | None:
        if self._times is None:
            self._times = self._factored()
        return self._times.with_unit(getattr(self._times, which)) if self._times else None

    def _latest(self) -> Any:
        at = self.voice.sheet.value("land_at")
        return at + timedelta(hours=self.finding.margin) if at is not None and self.finding.margin is not None else None


_MADE: dict[str, Callable[[Gaps], Any]] = {
    "value": Gaps._value,
    "limit": lambda gaps: gaps._number("limit"),
    "limit_n": lambda gaps: gaps.numbers.limit if gaps.numbers else None,
    "margin": Gaps._margin,
    "whose": Gaps._whose,
    "scope": Gaps._scope,
    "counted": Gaps._counted,
    "when": Gaps._when,
    "lacking": Gaps._lacking,
    "no_figure": Gaps._no_figure,
    "typed": lambda gaps: gaps.layer.limit.typed if gaps.layer else "",
    "part": lambda gaps: gaps.voice.part(gaps.finding.about),
    "place": lambda gaps: gaps.voice.place(gaps.finding.about),
    "about": lambda gaps: gaps.voice.part(gaps.finding.about),
    "table": lambda gaps: gaps.voice.part(gaps.layer.limit.scope) if gaps.layer else "",
    "factor": lambda gaps: f"{factor_of(gaps.layer):g}" if gaps.layer else "",
    "factored": lambda gaps: gaps._of_factored("value"),
    "runway": lambda gaps: gaps._of_factored("limit"),
    "spare": lambda gaps: gaps._of_factored("margin"),
    "latest_at": Gaps._latest,
}

GAPS = frozenset(_MADE)
"""The names of the gaps that every comparison fills."""


def lacking_words(voice: Voice, name: str) -> str:
    """Return a fact that is not there in words, with the reason where there is more to say than that it is missing."""
    words = voice.word("fact", name)
    fact = voice.sheet.facts.get(name)
    if fact is None or not fact.doubt:
        return words
    if fact.doubt.value != "missing":
        return f"{words} ({voice.word('doubt', fact.doubt.value)}: {fact.why or fact.typed})"
    return f"{words} ({fact.why})" if fact.why else words
