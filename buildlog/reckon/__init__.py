"""Reckon: from a log's amounts to worksheets that can be worked out for other sizes.

``worksheets(log)`` makes them, ``fit(sheet, inputs)`` works one out, ``check_log(log)`` says what does not add up,
``block`` and ``size_table`` are for the description box, ``from_rule(name, given)`` makes a sheet of one rule of the
trades, ``rules()`` is the book. ``page(log)`` is all of that for a face; ``page_of``, ``set_input`` and ``take_back`` keep
what was typed in with the part.
"""

from buildlog.reckon.block import block, size_table
from buildlog.reckon.fit import fit, from_rule
from buildlog.reckon.page import (
    Kept,
    Page,
    inputs_for,
    kept_inputs,
    open_checks,
    page,
    page_box,
    page_of,
    page_table,
    set_input,
    set_inputs,
    take_back,
)
from buildlog.reckon.rules import rule, rules
from buildlog.reckon.sanity import check_log, unsaid_checks
from buildlog.reckon.sheets import worksheets

__all__ = [
    "Kept", "Page", "block", "check_log", "fit", "from_rule", "inputs_for", "kept_inputs", "open_checks", "page", "page_box",
    "page_of", "page_table", "rule", "rules", "set_input", "set_inputs", "size_table", "take_back", "unsaid_checks",
    "worksheets",
]  # fmt: skip
