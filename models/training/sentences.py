"""Train the sentence encoder of ``buildlog find``: a question's vector comes near the moment that answers it.

    python models/training/sentences.py MOMENTS.json --encoder MINILM --out OUT [--teacher MPNET]
    python models/training/sentences.py --export OUT/sentences.safetensors --encoder MINILM --out models/sentences

``MOMENTS.json`` comes from ``moments.py``. The encoder begins from all-MiniLM-L6-v2 (Apache-2.0). Each batch takes a few
questions of several narrations and tells their moments from all others of those narrations (softmax over cosines). With
``--teacher`` a larger encoder (all-mpnet-base-v2, Apache-2.0) is trained the same way first, and the small one learns
from its ranking too. Prints how often the first and one of the first five moments are right by vectors alone, over the
questions in "check", before and after. Needs PyTorch, transformers, tokenizers and safetensors; minutes on a GPU.
"""

from __future__ import annotations

import argparse
import hashlib
import json
import math
import random
import time
from pathlib import Path
from typing import Any

import torch
from tokenizers import Tokenizer
from torch import nn
from train import ends, load_encoder, word_pieces

LONGEST = 96  # subwords, as in models/sentences/sentences.json


class Encoder(nn.Module):
    """Mean of the last layer over the words, of unit length: shape (texts, width)."""

    def __init__(self, folder: Path) -> None:
        super().__init__()
        self.bert = load_encoder(folder, None)

    def forward(self, input_ids: torch.Tensor, attention_mask: torch.Tensor) -> torch.Tensor:
        hidden = self.bert(input_ids=input_ids, attention_mask=attention_mask).last_hidden_state
        weight = attention_mask[..., None].to(hidden.dtype)
        return nn.functional.normalize((hidden * weight).sum(1).float() / weight.sum(1).float(), dim=-1)


class Tokens(nn.Module):
    """The encoder without its mean, as buildlog runs it: shape (texts, subwords, width)."""

    def __init__(self, encoder: Encoder) -> None:
        super().__init__()
        self.bert = encoder.bert

    def forward(self, input_ids: torch.Tensor, attention_mask: torch.Tensor) -> torch.Tensor:
        return self.bert(input_ids=input_ids, attention_mask=attention_mask).last_hidden_state


class Embedder:
    """Texts to vectors with a model and its word pieces."""

    def __init__(self, folder: Path, device: str) -> None:
        self.model, self.device = Encoder(folder).to(device), device
        self.tok: Tokenizer = word_pieces(folder)
        self.opens, self.closes, self.pad = ends(self.tok)

    def __call__(self, texts: list[str]) -> torch.Tensor:
        pieces = [
            [self.opens, *e.ids[: LONGEST - 2], self.closes]
            for e in self.tok.encode_batch(texts, add_special_tokens=False)
        ]
        width = max(map(len, pieces))
        ids = torch.full((len(pieces), width), self.pad)
        mask = torch.zeros_like(ids)
        for r, p in enumerate(pieces):
            ids[r, : len(p)], mask[r, : len(p)] = torch.tensor(p), 1
        with torch.autocast(self.device, dtype=torch.bfloat16, enabled=self.device == "cuda"):
            return self.model(ids.to(self.device), mask.to(self.device))

    def moments(self, said: list[str], names: list[str]) -> torch.Tensor:
        """Midway between the words alone and the words with what is being made, as buildlog keeps them."""
        both = self(said + [f"{name}: {s}" for name, s in zip(names, said, strict=True)])
        return nn.functional.normalize(both[: len(said)] + both[len(said) :], dim=-1)


@torch.no_grad()
def check(embed: Embedder, narrations: list[dict[str, Any]]) -> str:
    """First and first five right, by vectors alone, over all moments of a half at once."""
    embed.model.eval()
    out = []
    for half in ("seen", "harder"):
        rows = [n for n in narrations if n["half"] == half]
        table, at = [], []
        for n in rows:
            at.append(sum(map(len, table)))
            table.append(embed.moments(n["said"], [n["name"]] * len(n["said"])))
        every = torch.cat(table)
        asked = [(q, {a + r for r in right}) for n, a in zip(rows, at, strict=True) for q, right in n["asked"]]
        best = (embed([q for q, _ in asked]) @ every.T).topk(5).indices.tolist()
        first = sum(b[0] in right for b, (_, right) in zip(best, asked, strict=True)) / len(asked)
        five = sum(bool(right & set(b)) for b, (_, right) in zip(best, asked, strict=True)) / len(asked)
        out.append(f"{half} {first:.3f} {five:.3f}")
    embed.model.train()
    return ", ".join(out)


def batches(narrations: list[dict[str, Any]], at_once: int, each: int, rng: random.Random):
    """One epoch: ``at_once`` narrations with at most ``each`` of their questions."""
    left = [[n, rng.sample(n["asked"], len(n["asked"]))] for n in narrations]
    while len(left) >= 2:
        chosen = rng.sample(left, min(at_once, len(left)))
        yield [(n, [asked.pop() for _ in range(min(each, len(asked)))]) for n, asked in chosen]
        left = [row for row in left if row[1]]


def train(embed: Embedder, data: dict[str, Any], a: argparse.Namespace, teacher: Embedder | None, rate: float) -> None:
    """Train in place; the running mean of the weights is what is kept."""
    rng = random.Random(a.seed)
    model = embed.model
    optimizer = torch.optim.AdamW(model.parameters(), lr=rate, weight_decay=0.01)
    per_epoch = sum(len(n["asked"]) for n in data["train"]) / (a.at_once * a.each)
    steps = math.ceil(per_epoch * a.epochs)
    schedule = torch.optim.lr_scheduler.LambdaLR(
        optimizer, lambda s: min(1.0, (s + 1) / (0.1 * steps)) * max(0.02, 1 - s / steps)
    )
    live = [w for w in model.state_dict().values() if w.is_floating_point()]
    mean = [w.detach().clone() for w in live]
    print("before:", check(embed, data["check"]), flush=True)
    began, step, total = time.time(), 0, 0.0
    while step < steps:
        for batch in batches(data["train"], a.at_once, a.each, rng):
            said = [n["said"] for n, _ in batch]
            offsets = [sum(map(len, said[:k])) for k in range(len(said))]
            asked = [q for _, rows in batch for q, _ in rows]
            moments = [s for n, _ in batch for s in n["said"]], [n["name"] for n, _ in batch for _ in n["said"]]
            right = torch.zeros(len(asked), sum(map(len, said)), device=embed.device)
            row = 0
            for (_, rows), offset in zip(batch, offsets, strict=True):
                for _, numbers in rows:
                    right[row, [offset + k for k in numbers]] = 1
                    row += 1
            sharp = 1 / a.warmth
            scores = sharp * embed(asked) @ embed.moments(*moments).T
            # Any of the moments that hold the answer will do.
            found = scores.masked_fill(right == 0, -1e4).logsumexp(1) - scores.logsumexp(1)
            loss = -found.mean()
            if teacher is not None:
                with torch.no_grad():
                    taught = sharp * teacher(asked) @ teacher.moments(*moments).T
                    # What the marks know beats what the teacher believes.
                    taught = (taught + 2.0 * right).softmax(1)
                loss = (1 - a.share) * loss - a.share * (taught * scores.log_softmax(1)).sum(1).mean()
            optimizer.zero_grad()
            loss.backward()
            nn.utils.clip_grad_norm_(model.parameters(), 1.0)
            optimizer.step()
            schedule.step()
            with torch.no_grad():
                torch._foreach_lerp_(mean, live, 0.02)
            step += 1
            total += float(loss.detach())
            if step % 100 == 0:
                print(f"step {step} of {steps}, loss {total / 100:.3f}, {time.time() - began:.0f} s", flush=True)
                total = 0.0
            if step >= steps:
                break
    with torch.no_grad():
        for w, kept in zip(live, mean, strict=True):
            w.copy_(kept)
    print("after:", check(embed, data["check"]), flush=True)


def export(weights: Path, folder: Path, out: Path, trained: float) -> None:
    """Write the encoder as int8 ONNX, with its sha256 printed: ``trained`` of the weights, the rest of what they began from."""
    from export import write
    from safetensors.torch import load_file

    encoder = Encoder(folder)
    before = encoder.state_dict()
    after = {k: trained * v.float() + (1 - trained) * before[k] for k, v in load_file(str(weights)).items()}
    encoder.load_state_dict(after, strict=False)
    out.mkdir(parents=True, exist_ok=True)
    write(Tokens(encoder).eval(), out / "sentences.onnx")
    (out / "sentences.fp32.onnx").unlink()
    data = (out / "sentences.onnx").read_bytes()
    print(len(data), hashlib.sha256(data).hexdigest())


def main() -> None:
    p = argparse.ArgumentParser()
    p.add_argument("moments", type=Path, nargs="?")
    p.add_argument("--encoder", type=Path, required=True)
    p.add_argument("--out", type=Path, required=True)
    p.add_argument("--teacher", type=Path)
    p.add_argument("--export", type=Path, help="train nothing: write these weights as ONNX")
    p.add_argument("--trained", type=float, default=0.8, help="share of the trained weights in what is exported")
    p.add_argument("--epochs", type=float, default=8)
    p.add_argument("--rate", type=float, default=5e-5)
    p.add_argument("--teacher-rate", type=float, default=2e-5)
    p.add_argument("--warmth", type=float, default=0.05, help="the softmax's temperature")
    p.add_argument("--share", type=float, default=0.5, help="how much of the loss is the teacher's")
    p.add_argument("--at-once", type=int, default=24, help="narrations in a batch")
    p.add_argument("--each", type=int, default=4, help="questions of each")
    p.add_argument("--seed", type=int, default=1)
    p.add_argument("--name", default="sentences")
    a = p.parse_args()
    if a.export:
        export(a.export, a.encoder, a.out, a.trained)
        return
    device = "cuda" if torch.cuda.is_available() else "cpu"
    torch.manual_seed(a.seed)
    data = json.loads(a.moments.read_text("utf-8"))
    teacher = None
    if a.teacher:
        teacher = Embedder(a.teacher, device)
        train(teacher, data, a, None, a.teacher_rate)
        teacher.model.eval()
    embed = Embedder(a.encoder, device)
    train(embed, data, a, teacher, a.rate)
    from safetensors.torch import save_file

    a.out.mkdir(parents=True, exist_ok=True)
    state = {k: w.half().cpu().contiguous() for k, w in embed.model.state_dict().items() if w.is_floating_point()}
    save_file(state, str(a.out / f"{a.name}.safetensors"))


if __name__ == "__main__":
    main()
