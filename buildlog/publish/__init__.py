"""Publishing a log: the description box, what still stops it, and files that other programs read.

:func:`box` and :func:`check` are quick enough to follow every keystroke of a face. The other formats are a module
each; :mod:`buildlog.publish.formats` lists them.
"""

from buildlog.publish.box import Box, box
from buildlog.publish.checking import Finding, check
from buildlog.publish.settings import About, BoxSettings, settings_from

__all__ = ["About", "Box", "BoxSettings", "Finding", "box", "check", "settings_from"]
