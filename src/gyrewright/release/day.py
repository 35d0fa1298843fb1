"""The whole day at once: every aircraft, runway, start, fuel, load and crew that the day could see.

Aircraft are asked one by one, for each has its own stations and tables. The runways of one aircraft share every number
that does not rest on the runway. Aircraft run side by side, as far as the machine has cores for them.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor

from gyrewright.release import choices
from gyrewright.release.grid import Axis, Grid, Survey
from gyrewright.release.question import Aircraft, Question
from gyrewright.release.situation import situation_of


def day_grids(
    question: Question,
    fleet: Sequence[Aircraft],
    runways: Sequence[str],
    axes_for: Callable[[Aircraft], Sequence[Axis]],
    fuel_l: float,
) -> dict[tuple[str, str], Grid]:
    """Return a grid for every aircraft and runway.

    Args:
        question: The flight that stands for the day: its field, weather, purpose and people's parts.
        fleet: The aircraft.
        runways: Names of the runways.
        axes_for: Returns the axes for an aircraft, whose places for load have names of their own.
        fuel_l: Fuel planned in each aircraft where no axis varies it. [L]
    """

    def of(aircraft: Aircraft) -> list[tuple[tuple[str, str], Grid]]:
        first = choices.with_runway(choices.with_aircraft(question, aircraft, fuel_l), runways[0])
        survey = Survey(situation_of(first), axes_for(aircraft))
        found = [((aircraft.definition.id, runways[0]), survey.grid())]
        for name in runways[1:]:
            survey = survey.moved(situation_of(choices.with_runway(first, name)))
            found.append(((aircraft.definition.id, name), survey.grid()))
        return found

    with ThreadPoolExecutor(max_workers=min(len(fleet), os.cpu_count() or 1)) as pool:
        return dict(pair for pairs in pool.map(of, fleet) for pair in pairs)
