"""Every kind of act that the book keeps. Importing this package fills the registry."""

from gyrewright.desk.book.kinds import aircraft, flight, operation, people, phones, telling, training, upkeep, walking
from gyrewright.desk.book.kinds.registry import KINDS, About, Corrects, Kind, kind, kind_named, kind_of

__all__ = [
    "KINDS",
    "About",
    "Corrects",
    "Kind",
    "aircraft",
    "flight",
    "kind",
    "kind_named",
    "kind_of",
    "operation",
    "people",
    "phones",
    "telling",
    "training",
    "upkeep",
    "walking",
]
