"""Programs that stand outside of the packages, loaded so that tests can call them."""

from __future__ import annotations

import importlib.util
import sys
from pathlib import Path
from types import ModuleType

ROOT = Path(__file__).resolve().parent.parent


def module_at(place: str) -> ModuleType:
    """The module in the file ``place``, counted from the top of the checkout: "benchmarks/score.py"."""
    path = ROOT / place
    spec = importlib.util.spec_from_file_location(
        "loaded_" + "_".join(path.relative_to(ROOT).with_suffix("").parts), path
    )
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules[spec.name] = module
    spec.loader.exec_module(module)
    return module
