"""Mix two exported readers of one shape: the weighted mean of their weights, as one int8 ONNX file.

    python models/training/mix.py OLD NEW --share 0.3 --out models/reader

``OLD`` and ``NEW`` are folders that ``export.py`` wrote. Readers that begin from the same encoder and the same first head can be
averaged, like the seeds of one training; where one of them has 32-bit weights no longer at hand, the small integers are
turned back first. ``--share`` is how much of NEW there is.
"""

from __future__ import annotations

import argparse
import hashlib
import json
import shutil
from pathlib import Path

import numpy as np
import onnx
from onnx import numpy_helper


def whole(values: dict[str, np.ndarray], name: str) -> np.ndarray:
    """The matrix that was quantized as ``name``."""
    scale, zero = values[f"{name}_scale"], values[f"{name}_zero_point"]
    return (values[f"{name}_quantized"].astype(np.float32) - zero.astype(np.float32)) * scale


def _small(matrix: np.ndarray, like: dict[str, np.ndarray], name: str) -> dict[str, np.ndarray]:
    """``matrix`` quantized as the file in ``like`` has it: signed with a scale a column, or unsigned with one for all."""
    was, scale, zero = (like[f"{name}_{part}"] for part in ("quantized", "scale", "zero_point"))
    if zero.any():
        step = np.asarray((matrix.max() - matrix.min()) / 255, scale.dtype).reshape(scale.shape)
        middle = np.asarray(np.clip(np.rint(-matrix.min() / step), 0, 255), zero.dtype).reshape(zero.shape)
        values = np.clip(np.rint(matrix / step) + middle.astype(np.float32), 0, 255)
    else:
        most = 63 if np.abs(was.astype(int)).max() <= 64 else 127  # seven bits where the file has seven
        reach = np.abs(matrix).max(axis=0) if scale.size > 1 else np.abs(matrix).max()
        step, middle = np.asarray(np.maximum(reach, 1e-9) / most, scale.dtype).reshape(scale.shape), zero
        values = np.clip(np.rint(matrix / step), -most, most)
    return {f"{name}_quantized": values.astype(was.dtype), f"{name}_scale": step, f"{name}_zero_point": middle}


def mix(old: Path, new: Path, share: float, out: Path) -> None:
    """Write the mean. Raises ``ValueError`` where the two files differ in shape."""
    model, other = onnx.load(str(old / "reader.onnx")), onnx.load(str(new / "reader.onnx"))
    a, b = ({i.name: numpy_helper.to_array(i) for i in m.graph.initializer} for m in (model, other))
    if {n: v.shape for n, v in a.items()} != {n: v.shape for n, v in b.items()}:
        raise ValueError("the two readers differ in shape")
    mixed = dict(a)
    small = [n.removesuffix("_quantized") for n in a if n.endswith("_quantized")]
    parts = {f"{n}_{part}" for n in small for part in ("quantized", "scale", "zero_point")}
    for name in small:
        mixed |= _small((1 - share) * whole(a, name) + share * whole(b, name), a, name)
    for name in a.keys() - parts:
        if a[name].dtype.kind == "f":
            mixed[name] = ((1 - share) * a[name] + share * b[name]).astype(a[name].dtype)
    for i in model.graph.initializer:
        i.CopyFrom(numpy_helper.from_array(mixed[i.name], i.name))
    about = json.loads((old / "reader.json").read_text("utf-8"))
    out.mkdir(parents=True, exist_ok=True)
    onnx.save(model, str(out / "reader.onnx"))
    about["sha256"] = hashlib.sha256((out / "reader.onnx").read_bytes()).hexdigest()
    (out / "reader.json").write_text(json.dumps(about, indent=1) + "\n", encoding="utf-8")
    if out != old:
        shutil.copy(old / "vocab.txt", out / "vocab.txt")


def main() -> None:
    p = argparse.ArgumentParser()
    p.add_argument("old", type=Path)
    p.add_argument("new", type=Path)
    p.add_argument("--share", type=float, default=0.5)
    p.add_argument("--out", type=Path, required=True)
    a = p.parse_args()
    mix(a.old, a.new, a.share, a.out)


if __name__ == "__main__":
    main()
