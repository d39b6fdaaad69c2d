"""Write the trained writer of steps as files that buildlog runs without PyTorch.

    python export_writer.py --encoder MINILM --out models/writer OUT/mean.safetensors

``pieces.npz``: the embeddings of the word pieces as small integers with a scale a row, those of scripts that English does not use left
out. ``reads.onnx``: embedded pieces to hidden states, what the decoder asks of them, and the layer on top. ``writes.onnx``: one
more piece for each row. ``words.txt``: the words that the steps it learnt from are written in.
``writer.json``: shapes, the pieces that may be written without being copied, sha256 of each file.
"""

from __future__ import annotations

import argparse
import hashlib
import json
from collections import Counter
from pathlib import Path

import numpy as np
import onnx
import torch
from onnxruntime.quantization import QuantType, quantize_dynamic
from tellings import WORD, read_all
from torch import nn
from train import word_pieces
from writer import HEAD, LONGEST, NEXT, WINDOW, Writer, load

PIECES = 24500  # kept of those that English uses: the rarest words that no narration has are spelled in parts
LEAST = 2  # times a piece stands in the steps of the narrations, to be written without being copied


class Reads(nn.Module):
    """Embedded pieces (batch, width, size) to hidden states, keys and values of each decoder layer and of copying, and the layer on top."""

    def __init__(self, w: Writer) -> None:
        super().__init__()
        self.encoder, self.head, self.layers, self.copy_k = w.bert.encoder, w.head, w.layers, w.copy_k

    def forward(self, embedded: torch.Tensor, mask: torch.Tensor) -> tuple[torch.Tensor, torch.Tensor, torch.Tensor]:
        bias = ((1 - mask) * -1e4)[:, None, None, :]
        hidden = embedded
        for layer in self.encoder.layer:
            out = layer(hidden, bias)
            hidden = out[0] if isinstance(out, tuple) else out
        asked = [part(hidden) for x in self.layers for part in (x.other.k, x.other.v)]
        return hidden, torch.cat([*asked, self.copy_k(hidden)], -1), self.head(hidden)


class Writes(nn.Module):
    """One more piece for each of several beginnings of a row: its embedding with its place already added and normed (batch, beginnings,
    size); copying keys and memory of the row's marked window (batch, width, size); 0 or -10000 where it is padded (batch, width); for each
    layer keys and values of what was written before (batch * beginnings, heads, length, part) and of the window (batch, heads, width, part)."""

    def __init__(self, w: Writer, may: list[int]) -> None:
        super().__init__()
        self.layers, self.turn, self.turned = w.layers, w.turn, w.turned
        self.copy_q, self.gate, self.size = w.copy_q, w.gate, w.size
        self.out = nn.Linear(w.size, len(may))
        with torch.no_grad():
            self.out.weight.copy_(w.words[may])
            self.out.bias.copy_(w.bias[may])

    def forward(self, x, keys, memory, padded, *each_layer):
        """``each_layer``: for each layer what was written before as keys and values, then the window's. Those of what is written now come
        back behind the probabilities, one by one too: joined in one, all would be copied for each piece."""
        now = []
        bias = padded[:, None, None, :]
        for i, layer in enumerate(self.layers):
            before_k, before_v, window_k, window_v = each_layer[4 * i : 4 * i + 4]
            own = layer.own
            each = x.reshape(-1, 1, self.size)
            k = torch.cat([before_k, own.split(own.k(each))], 2)
            v = torch.cat([before_v, own.split(own.v(each))], 2)
            now += [k, v]
            x = own.attend(each, k, v, torch.zeros(())).reshape(x.shape)
            x = layer.feed(layer.other.attend(x, window_k, window_v, bias))
        own = self.out(self.turned(nn.functional.gelu(self.turn(x))))
        where = (self.copy_q(x) @ keys.transpose(1, 2) / self.size**0.5 + padded[:, None]).softmax(-1)
        copied = torch.sigmoid(self.gate(torch.cat([x, where @ memory], -1)))
        return own.softmax(-1), copied[..., 0], where, *now


def small(model: nn.Module, inputs: tuple, names: list[str], outputs: list[str], free: dict, path: Path) -> None:
    full = path.with_suffix(".fp32.onnx")
    torch.onnx.export(
        model, inputs, str(full), input_names=names, output_names=outputs, dynamic_axes=free, opset_version=17, dynamo=False
    )  # fmt: skip
    quantize_dynamic(
        str(full), str(path), weight_type=QuantType.QInt8, per_channel=True, reduce_range=True,
        extra_options={"MatMulConstBOnly": True, "DefaultTensorType": onnx.TensorProto.FLOAT},
    )  # fmt: skip
    full.unlink()


def english(piece: str) -> bool:
    return all(ord(c) < 0x250 or 0x2000 <= ord(c) < 0x2300 for c in piece)


def main() -> None:
    p = argparse.ArgumentParser()
    p.add_argument("--encoder", type=Path, required=True)
    p.add_argument("--out", type=Path, required=True)
    p.add_argument("weights", type=Path, nargs="+")
    a = p.parse_args()
    a.out.mkdir(parents=True, exist_ok=True)
    w: Writer = load(a.encoder, a.weights)
    tok = word_pieces(a.encoder)
    counts: Counter[int] = Counter()
    words: set[str] = set()
    every = read_all(Path(__file__).parent)
    for n in every:
        for t in n.tellings:
            for s in t.steps:
                words.update(w.lower() for w in WORD.findall(s) if w.isalpha())
                counts.update(tok.encode(WORD.findall(s), is_pretokenized=True, add_special_tokens=False).ids)
    may = sorted({102, NEXT} | {i for i, c in counts.items() if c >= LEAST})
    vocab = (a.encoder / "vocab.txt").read_text(encoding="utf-8").split("\n")
    kept = [
        i
        for i, piece in enumerate(vocab)
        if piece and english(piece) and (not piece.startswith("[unused") or i == NEXT)
    ]
    said = {w.lower() for n in every for w in n.words}
    spare = [i for i in kept if vocab[i].isalpha() and len(vocab[i]) > 2 and vocab[i] not in said]
    kept = sorted(set(kept) - set(spare[::-1][: len(kept) - PIECES]))  # they stand in the order of their frequency
    place = {i: n for n, i in enumerate(kept)}
    may = [i for i in may if i in place]
    (a.out / "vocab.txt").write_text("\n".join(vocab[i] for i in kept) + "\n", encoding="utf-8")
    rows = w.words.detach()[kept]
    scale = rows.abs().amax(1, keepdim=True).clamp(min=1e-8) / 127
    e = w.bert.embeddings
    places = e.position_embeddings.weight + e.token_type_embeddings.weight[0]
    np.savez_compressed(
        a.out / "pieces.npz", pieces=(rows / scale).round().to(torch.int8).numpy(), scale=scale.half().numpy(),
        places=places[:WINDOW].detach().half().numpy(), norm=torch.stack([e.LayerNorm.weight, e.LayerNorm.bias]).detach().half().numpy(),
        written=w.at.weight.detach().half().numpy(), opening=torch.stack([w.opening.weight, w.opening.bias]).detach().half().numpy(),
        mark=w.mark.detach().half().numpy(),
        asked=torch.cat(
            [part.weight @ w.mark for x in w.layers for part in (x.other.k, x.other.v)] + [w.copy_k.weight @ w.mark]
        ).detach().half().numpy(),
    )  # fmt: skip
    size, heads, n = w.size, w.bert.config.num_attention_heads, len(w.layers)
    part = size // heads
    w.eval()
    small(
        Reads(w), (torch.randn(2, 7, size), torch.ones(2, 7)), ["embedded", "mask"], ["hidden", "asked", "head"],
        {"embedded": {0: "b", 1: "n"}, "mask": {0: "b", 1: "n"}}, a.out / "reads.onnx",
    )  # fmt: skip
    layer = (
        torch.randn(6, heads, 3, part), torch.randn(6, heads, 3, part), torch.randn(2, heads, 7, part), torch.randn(2, heads, 7, part)
    )  # fmt: skip
    before, window, now = {0: "bk", 2: "t"}, {0: "b", 2: "n"}, {0: "bk", 2: "u"}
    free = {"x": {0: "b", 1: "k"}, "keys": {0: "b", 1: "n"}, "memory": {0: "b", 1: "n"}, "padded": {0: "b", 1: "n"}}
    names = list(free)
    outputs = ["own", "copied", "where"]
    free |= {"own": {0: "b", 1: "k"}, "copied": {0: "b", 1: "k"}, "where": {0: "b", 1: "k", 2: "n"}}
    for i in range(n):
        each = {f"before_k{i}": before, f"before_v{i}": before, f"window_k{i}": window, f"window_v{i}": window}
        names += list(each)
        outputs += [f"now_k{i}", f"now_v{i}"]
        free |= each | {f"now_k{i}": now, f"now_v{i}": now}
    small(
        Writes(w, may),
        (torch.randn(2, 3, size), torch.randn(2, 7, size), torch.randn(2, 7, size), torch.zeros(2, 7), *layer * n),
        names, outputs, free, a.out / "writes.onnx",
    )  # fmt: skip
    (a.out / "words.txt").write_text("\n".join(sorted(words)) + "\n", encoding="utf-8")
    files = ("pieces.npz", "reads.onnx", "writes.onnx", "vocab.txt", "words.txt")
    about = {
        "size": size, "heads": heads, "layers": n, "window": WINDOW, "longest": LONGEST, "head": HEAD,
        "opens": place[101], "closes": place[102], "unknown": place[100], "next": place[NEXT], "may": [place[i] for i in may],
        "sha256": {f: hashlib.sha256((a.out / f).read_bytes()).hexdigest() for f in files},
    }  # fmt: skip
    (a.out / "writer.json").write_text(json.dumps(about) + "\n", encoding="utf-8")
    print({f: (a.out / f).stat().st_size for f in files}, "may", len(may), "pieces", len(kept))


if __name__ == "__main__":
    main()
