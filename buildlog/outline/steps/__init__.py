"""Steps: what was done, in plain imperative sentences, in the order of work."""

from buildlog.outline.steps.finding import find_steps
from buildlog.outline.steps.written import write_steps

__all__ = ["find_steps", "write_steps"]
