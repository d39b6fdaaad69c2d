"""Reckon: from a log's amounts to worksheets that can be worked out for other sizes.

``worksheets(log)`` makes them, ``fit(sheet, inputs)`` works one out, ``check_log(log)`` says what does not add up,
``block`` and ``size_table`` are for the description box, ``from_rule(name, given)`` makes a sheet of one rule of the
trades, ``rules()`` is the book.
"""

from buildlog.reckon.block import block, size_table
from buildlog.reckon.fit import fit, from_rule
from buildlog.reckon.rules import rule, rules
from buildlog.reckon.sanity import check_log
from buildlog.reckon.sheets import worksheets

__all__ = ["block", "check_log", "fit", "from_rule", "rule", "rules", "size_table", "worksheets"]
