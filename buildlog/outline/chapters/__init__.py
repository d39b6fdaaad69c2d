"""Chapters: titled stretches of the timeline."""

from buildlog.outline.chapters.finding import find_chapters

__all__ = ["find_chapters"]
