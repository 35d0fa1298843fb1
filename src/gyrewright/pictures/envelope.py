"""The loading envelope of an aircraft by itself, with no flight in it: mass upward, center of gravity to the right."""

from __future__ import annotations

from collections.abc import Mapping

from gyrewright.aircraft.definition import Definition
from gyrewright.aircraft.envelope import Envelope
from gyrewright.finding import Layer
from gyrewright.pictures.figures import chosen, figure
from gyrewright.pictures.frame import USUAL, View, paragraph
from gyrewright.pictures.lettering import LABEL
from gyrewright.pictures.loading import arm_axis, edge, mass_axis, names_of
from gyrewright.pictures.place import Ground
from gyrewright.pictures.svg import document

MASS = "take-off mass"


def envelope(definition: Definition, *, units: Mapping[str, str], view: View = USUAL) -> str:
    """Return the envelope with its edge and the limits on the mass; where the manual draws none, that in words."""
    speech = view.speech
    title = f"{definition.name} {definition.id}: loading envelope"
    drawn: Envelope | None = definition.envelope.value
    if drawn is None:
        words = speech.say("no arms" if definition.no_arms else "no envelope")
        parts, high = paragraph(words, x=view.left, top=view.left, room=view.room, size=LABEL)
        return document(parts, width=view.width, height=high + 2.0 * view.left, title=title, desc=words)
    layers = tuple(
        Layer(limit, None, None, True) for limit in definition.limits if limit.of == MASS and limit.value is not None
    )
    symbols = chosen("mass", units, [layer.limit.typed for layer in layers]), chosen("arm", units)
    parts, plot = mass_axis(drawn, [], symbols[0], view, view.left)
    more, bottom = arm_axis(plot, view, symbols[1])
    parts += more
    ground = Ground(plot.box)
    parts += edge(drawn, layers, plot, ground)
    parts += names_of(drawn, layers, plot, ground, speech, symbols[0])
    desc = speech.say(
        "desc loading",
        low=figure("mass", drawn.lowest_mass_kg, symbols[0]),
        high=figure("mass", drawn.highest_mass_kg, symbols[0]),
        points="; ".join(
            f"{speech.layer(layer.limit)}: {speech.say(layer.limit.sense.value, limit=layer.limit.typed)}"
            for layer in layers
        ),
    )
    return document(parts, width=view.width, height=bottom + view.left, title=title, desc=desc)
