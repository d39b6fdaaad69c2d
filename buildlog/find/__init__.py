"""Finding the moment something was shown, over every video: by words and by meaning together.

The index lives in the archive's own file and follows every change of a part in the same transaction
(:func:`follow`, registered where the archive is opened); vectors are filled in apart (:func:`fill`).
"""

from buildlog.find.filling import fill, waiting
from buildlog.find.keeping import behind, bring_up, changed, damage, follow, get_ready, is_damage, rebuild
from buildlog.find.meaning import why_not
from buildlog.find.searching import Found, Hit, Only, search

__all__ = [
    "Found",
    "Hit",
    "Only",
    "behind",
    "bring_up",
    "changed",
    "damage",
    "fill",
    "follow",
    "get_ready",
    "is_damage",
    "rebuild",
    "search",
    "waiting",
    "why_not",
]
