"""Turn an exported reader back into 32-bit weights that ``train.py --begin`` can go on from.

    python thaw.py models/reader OUT/thawed.safetensors

The small integers are multiplied out; what quantizing lost stays lost. For where the weights of a training are no longer at hand.
"""

from __future__ import annotations

import argparse
import re
from pathlib import Path

import numpy as np
import onnx
import torch
from mix import whole
from onnx import numpy_helper
from safetensors.torch import save_file


def thaw(path: Path) -> dict[str, torch.Tensor]:
    """The weights by the names of ``train.Reader``."""
    model = onnx.load(str(path))
    a = {i.name: numpy_helper.to_array(i) for i in model.graph.initializer}
    out: dict[str, np.ndarray] = {
        n: v
        for n, v in a.items()
        if n.startswith(("bert.", "head.")) and v.dtype.kind == "f" and not n.endswith("_scale")
    }
    for n in [n.removesuffix("_quantized") for n in a if n.startswith("bert.") and n.endswith("_quantized")]:
        out[n] = whole(a, n)
    dense = sorted(
        {m.group() for n in a if (m := re.match(r"onnx::MatMul_\d+", n))}, key=lambda n: int(n.split("_")[1])
    )
    for k in range(len(dense) // 3):
        layer = f"bert.encoder.layer.{k}."
        for name, part in zip(
            dense[3 * k : 3 * k + 3], ("attention.output.dense", "intermediate.dense", "output.dense"), strict=True
        ):
            out[f"{layer}{part}.weight"] = whole(a, name).T
        qkv, bias = whole(a, f"Attention_{k}_qkv_weight"), a[f"Attention_{k}_qkv_bias"]
        for part, w, b in zip(("query", "key", "value"), np.split(qkv, 3, axis=1), np.split(bias, 3), strict=True):
            out[f"{layer}attention.self.{part}.weight"] = w.T
            out[f"{layer}attention.self.{part}.bias"] = b
    out["head.weight"] = whole(a, dense[-1]).T
    return {n: torch.tensor(np.ascontiguousarray(v, dtype=np.float32)) for n, v in out.items()}


def main() -> None:
    p = argparse.ArgumentParser()
    p.add_argument("reader", type=Path, help="a folder that export.py wrote")
    p.add_argument("out", type=Path)
    a = p.parse_args()
    save_file({n: v.half() for n, v in thaw(a.reader / "reader.onnx").items()}, str(a.out))


if __name__ == "__main__":
    main()
