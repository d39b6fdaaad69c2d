"""The trained writer of steps: from a stretch of talk, and what was said around it, the sentences a viewer reads.

A small encoder and decoder (int8 ONNX, no torch), trained on invented narrations with their written steps (``models/training``). Without its
files the steps are written by the rules of ``buildlog.outline.steps`` alone.
"""

from __future__ import annotations

from buildlog.outline.writer.model import Page, Written, open_page, ready

__all__ = ["Page", "Written", "open_page", "ready"]
