"""Write trained weights as one int8 ONNX file, with what buildlog needs beside it.

    python export.py --encoder FOLDER --out FOLDER WEIGHTS.safetensors [WEIGHTS.safetensors ...]

Several weights of one training (other seeds) are averaged, which reads better than any one of them. Weights are quantized
to seven bits: processors without VNNI add two products in sixteen bits, and eight-bit weights overflow there.
"""

from __future__ import annotations

import argparse
import hashlib
import json
import shutil
from pathlib import Path

import torch
from train import KINDS, LAYOUT, SPANS, Reader, load_reader


def write(model: Reader, path: Path, *, reduce: bool = True) -> None:
    """Write ``model`` to ``path`` with its matrices as small integers, and the 32-bit file beside it."""
    import onnx
    from onnxruntime.quantization import QuantType, quantize_dynamic
    from onnxruntime.transformers import optimizer

    x = torch.tensor([[101, 2023, 102], [101, 2003, 102]])
    full = path.with_suffix(".fp32.onnx")
    torch.onnx.export(
        model, (x, torch.ones_like(x)), str(full), input_names=["input_ids", "attention_mask"], output_names=["logits"],
        dynamic_axes={"input_ids": {0: "b", 1: "n"}, "attention_mask": {0: "b", 1: "n"}, "logits": {0: "b", 1: "n"}},
        opset_version=17, dynamo=False,
    )  # fmt: skip
    config = model.bert.config
    fused = optimizer.optimize_model(
        str(full), model_type="bert", num_heads=config.num_attention_heads, hidden_size=config.hidden_size, opt_level=0
    )
    print({k: n for k, n in fused.get_fused_operator_statistics().items() if n})
    fused.save_model_to_file(str(full))
    quantize_dynamic(
        str(full), str(path), weight_type=QuantType.QInt8, per_channel=True, reduce_range=reduce,
        extra_options={"MatMulConstBOnly": True, "DefaultTensorType": onnx.TensorProto.FLOAT},
    )  # fmt: skip
    print(path, path.stat().st_size)


def main() -> None:
    p = argparse.ArgumentParser()
    p.add_argument("--encoder", type=Path, required=True)
    p.add_argument("--out", type=Path, required=True)
    p.add_argument("--length", type=int, default=224)
    p.add_argument("--keep-full", action="store_true", help="keep the 32-bit file too, to compare")
    p.add_argument("--eight-bits", action="store_true")
    p.add_argument("weights", type=Path, nargs="+")
    a = p.parse_args()
    a.out.mkdir(parents=True, exist_ok=True)
    model = load_reader(a.encoder, a.weights)
    write(model, a.out / "reader.onnx", reduce=not a.eight_bits)
    if not a.keep_full:
        (a.out / "reader.fp32.onnx").unlink()
    digest = hashlib.sha256((a.out / "reader.onnx").read_bytes()).hexdigest()
    about = {
        "layout": LAYOUT,
        "kinds": KINDS,
        "spans": SPANS,
        "length": a.length,
        "layers": model.bert.config.num_hidden_layers,
        "sha256": digest,
    }
    (a.out / "reader.json").write_text(json.dumps(about, indent=1) + "\n", encoding="utf-8")
    shutil.copy(a.encoder / "vocab.txt", a.out / "vocab.txt")


if __name__ == "__main__":
    main()
