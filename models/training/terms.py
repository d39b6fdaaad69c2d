"""Write ``terms.json``: names of materials and tools from the craft files, for swapping names while training.

python models/training/terms.py        (with buildlog installed)
"""

from __future__ import annotations

import json
from pathlib import Path

from buildlog.tag.lexicon import Lexicon


def main() -> None:
    names: dict[str, list[str]] = {"material": [], "tool": [], "pattern": [], "reference": []}
    for term in Lexicon.load().terms:
        if term.kind in names and not term.ambiguous and "cooking" not in term.crafts:
            names[term.kind].extend(n for n in (term.name, *term.aliases) if n not in names[term.kind])
    for kind in names:
        names[kind].sort()
    path = Path(__file__).with_name("terms.json")
    path.write_text(json.dumps(names, indent=0, ensure_ascii=False) + "\n", encoding="utf-8")
    print({k: len(v) for k, v in names.items()})


if __name__ == "__main__":
    main()
