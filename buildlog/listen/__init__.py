"""Speech to timed words: hearing a recording, or reading a transcript the maker already has."""

from __future__ import annotations

from buildlog.listen.heard import Dropped, Heard, Stretch
from buildlog.listen.hearing import Progress, hear

__all__ = ["Dropped", "Heard", "Progress", "Stretch", "hear"]
