"""Train the reader of narrations; ``export.py`` writes the result as one int8 ONNX file.

Needs PyTorch, transformers, tokenizers and safetensors; a GPU makes it minutes instead of hours. None of these but
onnxruntime and tokenizers is needed to run buildlog.

    python train.py --encoder FOLDER --out FOLDER [--layers 6] [--epochs 40] [--seed 1]

``--encoder`` is a folder with ``config.json``, ``model.safetensors`` and ``tokenizer.json`` of all-MiniLM-L6-v2
(Apache-2.0). Every tenth narration of the corpus is held out; the scores printed are on those.

A larger encoder can teach: train it with ``--fold K OF`` for each K, which leaves a share of the narrations out, then name
the results with ``--teachers``. Each narration is then read by the teacher that has not seen it, and the reader learns from
the marks and from that teacher's doubts alike. Any encoder with the same word pieces serves (all-mpnet-base-v2, Apache-2.0).
"""

from __future__ import annotations

import argparse
import json
import math
import random
import time
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import torch
from markup import KINDS, SPANS, Marked, read_folder
from tellings import read_every_told
from tokenizers import Tokenizer
from torch import nn
from torch.utils.data import DataLoader, IterableDataset
from transformers import AutoConfig, AutoModel, PreTrainedModel

N_KIND, N_STATUS, N_BIO = 1 + 2 * len(KINDS), 4, 3
LAYOUT = {
    "kind": (0, N_KIND),
    "status": (N_KIND, N_KIND + N_STATUS),
    "amount": (N_KIND + N_STATUS, N_KIND + N_STATUS + 3),
}
_at = N_KIND + N_STATUS + 3
for _c in SPANS:
    LAYOUT[_c] = (_at, _at + N_BIO)
    _at += N_BIO
LAYOUT["chapter"] = (_at, _at + 2)
LAYOUT["start"] = (_at + 2, _at + 5)
LAYOUT["first"] = (_at + 5, _at + 8)
N_OUT = _at + 8
LOSS_WEIGHT = {"kind": 1.5, "status": 0.7, "amount": 0.5, "chapter": 0.5, "S": 1.2, "start": 0.7, "first": 1.0}
RARE = {"R": 4.0}  # kinds that are seldom marked count for more


class Reader(nn.Module):
    """The encoder with one linear layer on top: logits a subword, laid out as in LAYOUT."""

    def __init__(self, bert: PreTrainedModel, dropout: float = 0.15) -> None:
        super().__init__()
        self.bert = bert
        self.drop = nn.Dropout(dropout)
        self.head = nn.Linear(bert.config.hidden_size, N_OUT)

    def forward(self, input_ids: torch.Tensor, attention_mask: torch.Tensor) -> torch.Tensor:
        hidden = self.bert(input_ids=input_ids, attention_mask=attention_mask).last_hidden_state
        return self.head(self.drop(hidden))


def empty_encoder(folder: Path, layers: int | None = None) -> PreTrainedModel:
    """An encoder of the shape that ``folder`` describes, with ``layers`` layers, its weights not yet read."""
    about = json.loads((folder / "config.json").read_text(encoding="utf-8"))
    config = AutoConfig.for_model(**about)
    config.num_hidden_layers = layers or config.num_hidden_layers
    config._attn_implementation = "eager"  # the shape that ONNX Runtime knows how to fuse
    return AutoModel.from_config(config, add_pooling_layer=False)


def bare(words: list[str], first: list[int]) -> Marked:
    """A narration of which only the techniques done first are known."""
    n = len(words)
    return Marked(
        "", words, [0] * n, [-1] * n, [0] * n, {c: [0] * n for c in SPANS}, [0] * n, [-1] * n, first, bare=True
    )


def load_encoder(folder: Path, layers: list[int] | None) -> PreTrainedModel:
    """The encoder in ``folder``, with only the ``layers`` named."""
    from safetensors.torch import load_file

    state = {}
    for k, v in load_file(str(folder / "model.safetensors")).items():
        k = k.removeprefix("bert.").removeprefix("mpnet.")
        if layers is not None and k.startswith("encoder.layer."):
            n = int(k.split(".")[2])
            if n not in layers:
                continue
            k = k.replace(f"encoder.layer.{n}.", f"encoder.layer.{layers.index(n)}.")
        state[k] = v.float()
    bert = empty_encoder(folder, len(layers) if layers is not None else None)
    missing, unexpected = bert.load_state_dict(state, strict=False)
    print("not in the file:", [m for m in missing if "position_ids" not in m][:3], "unused:", len(unexpected))
    return bert


def load_reader(encoder: Path, weights: list[Path]) -> Reader:
    """The reader with the mean of ``weights``, which have the shape of ``encoder`` (perhaps fewer layers)."""
    from safetensors.torch import load_file

    states = [load_file(str(p)) for p in weights]
    mean = {k: sum(s[k].float() for s in states) / len(states) for k in states[0]}
    layers = 1 + max(int(k.split(".")[3]) for k in mean if k.startswith("bert.encoder.layer."))
    lacks = N_OUT - len(mean["head.bias"])  # layers that were added since: nothing is known of them
    mean["head.weight"] = nn.functional.pad(mean["head.weight"], (0, 0, 0, lacks))
    mean["head.bias"] = nn.functional.pad(mean["head.bias"], (0, lacks))
    model = Reader(empty_encoder(encoder, layers))
    model.load_state_dict(mean, strict=False)
    return model.eval()


def word_pieces(encoder: Path) -> Tokenizer:
    tok = Tokenizer.from_file(str(encoder / "tokenizer.json"))
    tok.no_truncation()
    tok.no_padding()
    return tok


def ends(tok: Tokenizer) -> tuple[int, int, int]:
    """Ids of what opens and closes a stretch, and of padding."""
    first = [("[CLS]", "[SEP]", "[PAD]"), ("<s>", "</s>", "<pad>")]
    return next(
        (tok.token_to_id(a), tok.token_to_id(b), tok.token_to_id(c))
        for a, b, c in first
        if tok.token_to_id(a) is not None
    )


class Teachers:
    """Larger readers, one a fold: each has not seen the narrations of its fold."""

    def __init__(self, weights: list[Path], encoder: Path, pupil: Tokenizer, device: str) -> None:
        self.models = [load_reader(encoder, [w]).to(device, torch.bfloat16) for w in weights]
        own = word_pieces(encoder)
        table = torch.full((pupil.get_vocab_size(),), ends(own)[2], dtype=torch.long)
        for piece, i in pupil.get_vocab().items():
            if (j := own.token_to_id(piece)) is not None:
                table[i] = j
        for mine, its in zip(ends(pupil), ends(own), strict=True):
            table[mine] = its
        self.table, self.device = table.to(device), device

    @torch.no_grad()
    def __call__(self, ids: torch.Tensor, mask: torch.Tensor, folds: torch.Tensor) -> torch.Tensor:
        """Logits (batch, width, N_OUT) of the teacher of each row's fold."""
        out = torch.zeros(*ids.shape, N_OUT, device=self.device)
        for k, model in enumerate(self.models):
            rows = (folds == k).nonzero().squeeze(1)
            if len(rows):
                out[rows] = model(self.table[ids[rows]], mask[rows]).float()
        return out


FILLERS = ["um", "uh", "you know", "like", "sort of", "kind of", "er", "I mean"]


TERMS: dict[str, list[str]] = {}


def swap(m: Marked, rng: random.Random, share: float) -> Marked:
    """A copy with some names of materials and tools exchanged for others of their kind, the same ones throughout."""
    if not TERMS or share <= 0 or m.bare:
        return m
    chosen: dict[str, list[str] | None] = {}
    out = Marked(m.name)
    i = 0
    while i < len(m.words):
        k = m.kind[i]
        letter = KINDS[(k - 1) // 2] if k else ""
        if k % 2 == 1 and letter in TERMS:
            j = i + 1
            while j < len(m.words) and m.kind[j] == k + 1:
                j += 1
            name = " ".join(m.words[i:j]).lower()
            if name not in chosen:
                chosen[name] = rng.choice(TERMS[letter]).split() if rng.random() < share else None
            new = chosen[name]
            if new is not None:
                plural = m.words[j - 1].lower().endswith("s") and not new[-1].endswith("s")
                for n, w in enumerate(new):
                    _copy(m, i if n == 0 else min(i + 1, j - 1), out, w + ("s" if plural and n == len(new) - 1 else ""))
                    out.kind[-1], out.status[-1] = k + (n > 0), m.status[i]
                    if n:
                        out.amount[-1] = 0
                        out.chapter[-1] = 0
                        out.start[-1] = min(0, out.start[-1])
                        out.first[-1] = 2 if out.first[-1] == 1 else out.first[-1]
                        for c in SPANS:
                            if out.spans[c][-1] == 1:
                                out.spans[c][-1] = 2
                i = j
                continue
        _copy(m, i, out, m.words[i])
        i += 1
    return out


def spoil(m: Marked, rng: random.Random) -> Marked:
    """A copy of a stretch as a recogniser might write it: punctuation lost or wrong, fillers put in."""
    out = Marked(m.name, bare=m.bare)
    mode = rng.random()
    drop = 1.0 if mode < 0.3 else 0.35 if mode < 0.45 else 0.05
    wrong = 0.02 if mode < 0.45 else 0.0
    fill = 0.015 if rng.random() < 0.3 else 0.0
    lost = rng.random() < 0.2
    for i, w in enumerate(m.words):
        if w in '.,;:!?-–—"' and rng.random() < drop and m.kind[i] == 0:
            continue
        if lost and len(w) < 4 and m.kind[i] == 0 and m.amount[i] == 0 and rng.random() < 0.02:
            continue
        _copy(m, i, out, w)
        if wrong and w.isalpha() and rng.random() < wrong and m.kind[i] == 0:
            _copy(m, i, out, ".", name_only=True)
        if (
            fill
            and rng.random() < fill
            and m.kind[i] == 0
            and (i + 1 == len(m.words) or m.kind[i + 1] % 2 == 1 or m.kind[i + 1] == 0)
        ):
            for f in rng.choice(FILLERS).split():
                _copy(m, i, out, f, name_only=True)
    return out


def _copy(m: Marked, i: int, out: Marked, word: str, *, name_only: bool = False) -> None:
    out.words.append(word)
    out.kind.append(0 if name_only else m.kind[i])
    out.status.append(-1 if name_only else m.status[i])
    out.amount.append(0 if name_only else m.amount[i])
    for c in SPANS:
        v = m.spans[c][i]
        out.spans[c].append(2 if name_only and v else v)
    out.chapter.append(0 if name_only else m.chapter[i])
    out.start.append(-1 if name_only else m.start[i])
    out.first.append(-1 if m.first[i] < 0 else 0 if name_only else m.first[i])


def cut(m: Marked, start: int, end: int) -> Marked:
    return Marked(
        m.name, m.words[start:end], m.kind[start:end], m.status[start:end], m.amount[start:end],
        {c: m.spans[c][start:end] for c in SPANS}, m.chapter[start:end], m.start[start:end], m.first[start:end], m.bare,
    )  # fmt: skip


def encode(tok: Tokenizer, m: Marked, length: int) -> tuple[list[int], list[int], int]:
    """Subword ids with [CLS] and [SEP], the word index of each first subword (-1 elsewhere), and words that fit."""
    e = tok.encode(m.words, is_pretokenized=True, add_special_tokens=False)
    opens, closes, _ = ends(tok)
    ids, of, last, fit = [opens], [-1], -1, 0
    for t, w in zip(e.ids, e.word_ids, strict=True):
        if len(ids) >= length - 1:
            break
        ids.append(t)
        of.append(w if w != last else -1)
        if w != last:
            fit = w + 1
        last = w
    ids.append(closes)
    of.append(-1)
    return ids, of, fit


def targets(m: Marked, of: list[int]) -> dict[str, list[int]]:
    layers = {"kind": m.kind, "status": m.status, "amount": m.amount, "chapter": m.chapter, "start": m.start, **m.spans}
    if m.bare:
        return {k: [-1] * len(of) for k in layers} | {"first": [m.first[w] if w >= 0 else -1 for w in of]}
    layers["first"] = m.first
    return {k: [layer[w] if w >= 0 else -1 for w in of] for k, layer in layers.items()}


class Batches(IterableDataset):
    """All batches of all epochs: ids, mask, targets by layer, and the fold of each row's narration."""

    def __init__(self, tok: Tokenizer, marked: list[tuple[int, Marked]], a: argparse.Namespace) -> None:
        self.tok, self.marked, self.a = tok, marked, a

    def __iter__(self) -> Iterator[tuple[torch.Tensor, torch.Tensor, dict[str, torch.Tensor], torch.Tensor]]:
        rng = random.Random(self.a.seed)
        for _ in range(self.a.epochs):
            yield from self.epoch(rng)

    def epoch(self, rng: random.Random):
        length, batch = self.a.length, self.a.batch
        items = []
        for fold, m in self.marked:
            s = spoil(swap(m, rng, self.a.swap), rng)
            # Windows that cover the narration, at a random offset.
            words = max(40, int(length / 1.3))
            at = -rng.randrange(0, words)
            while at < len(s.words):
                start, end = max(0, at), min(len(s.words), at + words)
                if end - start >= 12:
                    piece = cut(s, start, end)
                    ids, of, _ = encode(self.tok, piece, length)
                    items.append((ids, targets(piece, of), fold))
                at += words
        rng.shuffle(items)
        pad = ends(self.tok)[2]
        for i in range(0, len(items), batch):
            group = items[i : i + batch]
            width = max(len(ids) for ids, _, _ in group)
            ids = torch.full((len(group), width), pad, dtype=torch.long)
            mask = torch.zeros(len(group), width, dtype=torch.long)
            ys = {k: torch.full((len(group), width), -1, dtype=torch.long) for k in LAYOUT}
            for r, (x, y, _) in enumerate(group):
                ids[r, : len(x)] = torch.tensor(x)
                mask[r, : len(x)] = 1
                for k in LAYOUT:
                    ys[k][r, : len(x)] = torch.tensor(y[k])
            yield ids, mask, ys, torch.tensor([fold for _, _, fold in group])


def loss_of(
    logits: torch.Tensor,
    ys: dict[str, torch.Tensor],
    taught: torch.Tensor | None = None,
    share: float = 0.5,
    only_marks: bool = False,
) -> torch.Tensor:
    """Weighted cross entropy over the layers against the marks and, with ``share``, against a teacher's probabilities.

    ``only_marks``: of techniques the teacher is not asked, since it learnt from other marks.
    """
    total = logits.new_zeros((), dtype=torch.float32)
    words = ys["kind"] >= 0
    for k, (a, b) in LAYOUT.items():
        z = logits[..., a:b].reshape(-1, b - a).float()
        weight = None
        if k == "kind":
            weight = z.new_ones(b - a)
            for letter, more in RARE.items():
                weight[1 + 2 * KINDS.index(letter) : 3 + 2 * KINDS.index(letter)] = more
        loss = nn.functional.cross_entropy(
            z, ys[k].reshape(-1), weight, ignore_index=-1, label_smoothing=0.03, reduction="sum"
        )
        loss = loss / (ys[k] >= 0).sum().clamp(min=1)
        if taught is not None:
            if not taught[..., a:b].any():
                total = total + LOSS_WEIGHT.get(k, 1.0) * loss
                continue  # the teacher does not know this layer
            p = taught[..., a:b].reshape(-1, b - a).softmax(-1)
            # The status of a word that names nothing means nothing: only where the marks give one.
            at = (ys[k] >= 0 if k in ("status", "first") else words).reshape(-1)
            if k == "kind" and only_marks:
                x = 1 + 2 * KINDS.index("X")
                at = at & (p[:, x : x + 2].sum(-1) < 0.1) & (ys[k].reshape(-1) < x)
            soft = -(p * z.log_softmax(-1)).sum(-1)
            loss = (1 - share) * loss + share * (soft * at).sum() / at.sum().clamp(min=1)
        total = total + LOSS_WEIGHT.get(k, 1.0) * loss
    return total


def push_embeddings(model, size, ids, mask, ys, device, taught, share, only_marks) -> None:
    """Add the gradient of the loss at embeddings moved a little uphill (fast gradient method, Miyato et al. 2017)."""
    weight = model.bert.embeddings.word_embeddings.weight
    if weight.grad is None:
        return
    norm = weight.grad.norm()
    if not torch.isfinite(norm) or norm == 0:
        return
    step = size * weight.grad / norm
    with torch.no_grad():
        weight.add_(step)
    with torch.autocast(device, dtype=torch.bfloat16, enabled=device == "cuda"):
        logits = model(ids, mask)
    loss_of(logits, ys, taught, share, only_marks).backward()
    with torch.no_grad():
        weight.sub_(step)


def spans_of(bio: list[int]) -> set[tuple[int, int, int]]:
    """(start, end, type) of BIO labels 1 + 2t (begin) and 2 + 2t (inside)."""
    out, start, kind = set(), -1, -1
    for i, v in enumerate([*bio, 0]):
        if start >= 0 and (v == 0 or v % 2 == 1 or (v - 1) // 2 != kind):
            out.add((start, i, kind))
            start = -1
        if v and (v % 2 == 1 or start < 0):
            start, kind = i, (v - 1) // 2
    return out


@torch.no_grad()
def predict(model: Reader, tok: Tokenizer, words: list[str], length: int, device: str, overlap: int = 40) -> np.ndarray:
    """Log-probabilities a word (n, N_OUT), windows overlapping, the better-placed window's word taken."""
    model.eval()
    n = len(words)
    out = np.zeros((n, N_OUT), dtype=np.float32)
    at = 0
    while at < n:
        piece = Marked("", words[at : at + length])
        ids, of, fit = encode(tok, piece, length)
        x = torch.tensor([ids], device=device)
        logits = model(x, torch.ones_like(x))[0].float().cpu().numpy()
        for p, w in enumerate(of):
            if w >= 0 and (at == 0 or w >= overlap // 2 or at + w >= n - 1 or not out[at + w].any()):
                out[at + w] = logits[p]
        if at + fit >= n:
            break
        at += max(1, fit - overlap)
    return out


def evaluate(model: Reader, tok: Tokenizer, marked: list[Marked], length: int, device: str) -> dict[str, float]:
    counts: dict[str, list[int]] = {}

    def add(name: str, gold: set, got: set) -> None:
        c = counts.setdefault(name, [0, 0, 0])
        c[0] += len(gold & got)
        c[1] += len(gold)
        c[2] += len(got)

    right = seen = 0
    for m in marked:
        z = predict(model, tok, m.words, length, device)
        a, b = LAYOUT["kind"]
        got = spans_of(z[:, a:b].argmax(1).tolist())
        gold = spans_of(m.kind)
        for t, letter in enumerate(KINDS):
            add(letter, {s for s in gold if s[2] == t}, {s for s in got if s[2] == t})
        a, b = LAYOUT["status"]
        status = z[:, a:b].argmax(1)
        for s in gold:
            if s in got:
                seen += 1
                right += int(status[s[0]] == m.status[s[0]])
        a, b = LAYOUT["amount"]
        add("Q", spans_of(m.amount), spans_of(z[:, a:b].argmax(1).tolist()))
        if m.first and m.first[0] >= 0:
            a, b = LAYOUT["first"]
            add("first", spans_of(m.first), spans_of(z[:, a:b].argmax(1).tolist()))
        for c in SPANS:
            a, b = LAYOUT[c]
            g, h = spans_of(m.spans[c]), spans_of(z[:, a:b].argmax(1).tolist())
            # A span counts as found where one begins within eight words.
            used: set = set()
            hit = 0
            for s in sorted(h):
                near = [x for x in g if abs(x[0] - s[0]) <= 8 and x not in used]
                if near:
                    used.add(min(near, key=lambda x: abs(x[0] - s[0])))
                    hit += 1
            k = counts.setdefault(c, [0, 0, 0])
            k[0] += hit
            k[1] += len(g)
            k[2] += len(h)
    out = {k: 2 * h / (g + f) if g + f else 0.0 for k, (h, g, f) in counts.items()}
    out["status"] = right / max(1, seen)
    return out


def average(weights: list[Path], encoder: Path, marked: list[Marked], tok: Tokenizer, length: int, out: Path) -> None:
    """Average weights of several seeds, score the mean on ``marked`` and save it."""
    from safetensors.torch import save_file

    device = "cuda" if torch.cuda.is_available() else "cpu"
    model = load_reader(encoder, weights).to(device)
    if marked:
        scores = evaluate(model, tok, marked, length, device)
        print("mean of", len(weights), " ".join(f"{k}:{v:.3f}" for k, v in scores.items()), flush=True)
    save_file(
        {k: w.half().cpu().contiguous() for k, w in model.state_dict().items() if w.is_floating_point()}, str(out)
    )


def main() -> None:
    p = argparse.ArgumentParser()
    p.add_argument("--encoder", type=Path, required=True)
    p.add_argument("--corpus", type=Path, default=Path(__file__).parent / "corpus")
    p.add_argument("--out", type=Path, required=True)
    p.add_argument("--layers", type=int, nargs="*", default=None, help="which encoder layers to keep")
    p.add_argument("--epochs", type=int, default=40)
    p.add_argument("--length", type=int, default=224)
    p.add_argument("--batch", type=int, default=16)
    p.add_argument("--rate", type=float, default=1.2e-4)
    p.add_argument("--head-rate", type=float, default=5, help="how many times faster the layer on top learns")
    p.add_argument("--seed", type=int, default=1)
    p.add_argument("--push", type=float, default=0.5, help="size of the adversarial step on the embeddings; 0 for none")
    p.add_argument("--mean", type=float, default=0.995, help="decay of the running mean of the weights")
    p.add_argument("--dropout", type=float, default=0.15)
    p.add_argument("--swap", type=float, default=0.25, help="share of names exchanged for others of their kind")
    p.add_argument(
        "--fold", type=int, nargs=2, default=None, help="K OF: leave out the narrations whose number is K modulo OF"
    )
    p.add_argument(
        "--teachers", type=Path, nargs="*", default=[], help="weights trained with --fold 0 N, 1 N, ... in this order"
    )
    p.add_argument("--teacher-encoder", type=Path, help="the folder of the encoder that teaches")
    p.add_argument("--share", type=float, default=0.5, help="how much of the loss is the teachers'")
    p.add_argument("--told", action="store_true", help="learn techniques from told/ too, which has no other marks")
    p.add_argument(
        "--begin", type=Path, help="weights to go on from, of an earlier training or of thaw.py; they teach too"
    )
    p.add_argument("--minutes", type=float, default=0, help="stop after so long, the rate brought down by then")
    p.add_argument("--all", action="store_true", help="train on all narrations, hold none out")
    p.add_argument("--name", default="reader")
    p.add_argument("--average", type=Path, nargs="*", help="train nothing: average these weights and score the mean")
    a = p.parse_args()
    torch.manual_seed(1)  # the head begins alike for every seed, so that weights of several seeds can be averaged
    device = "cuda" if torch.cuda.is_available() else "cpu"
    terms = json.loads(Path(__file__).with_name("terms.json").read_text(encoding="utf-8"))
    TERMS.update({"M": terms["material"], "T": terms["tool"], "P": terms["pattern"], "R": terms["reference"]})
    tok = word_pieces(a.encoder)
    marked = read_folder(a.corpus)
    held = [m for i, m in enumerate(marked) if i % 10 == 4]
    folds = len(a.teachers) or 1
    train = [(i % folds, m) for i, m in enumerate(marked) if a.all or i % 10 != 4]
    if a.told:
        train += [(0, bare(n.words, n.first)) for n in read_every_told(Path(__file__).parent)]
    if a.fold:
        k, of = a.fold
        train = [(0, m) for i, m in enumerate(marked) if (a.all or i % 10 != 4) and i % of != k]
        held = [m for i, m in enumerate(marked) if i % of == k and i % 10 == 4]
    if a.average:
        average(a.average, a.encoder, held, tok, a.length, a.out / f"{a.name}.safetensors")
        return
    print(f"{len(train)} narrations, {sum(len(m.words) for _, m in train)} words; held out {len(held)}; {device}")
    model = Reader(load_encoder(a.encoder, a.layers), a.dropout).to(device)
    if a.begin:
        begun = load_reader(a.encoder, [a.begin])
        at = LAYOUT["first"][0]
        fresh = [w.detach().clone()[at:] for w in (model.head.weight, model.head.bias)]
        model.load_state_dict(begun.state_dict())
        with torch.no_grad():
            for w, f in zip((model.head.weight, model.head.bias), fresh, strict=True):
                if not w[at:].any():
                    w[at:] = f
        a.teachers, a.teacher_encoder = [a.begin], a.encoder
    only_marks = a.begin is not None
    torch.manual_seed(a.seed)
    no_decay = ("bias", "LayerNorm.weight")
    groups = [
        {
            "params": [q for n, q in model.named_parameters() if not n.endswith(no_decay) and "head" not in n],
            "weight_decay": 0.01,
            "lr": a.rate,
        },
        {
            "params": [q for n, q in model.named_parameters() if n.endswith(no_decay) and "head" not in n],
            "weight_decay": 0.0,
            "lr": a.rate,
        },
        {"params": list(model.head.parameters()), "weight_decay": 0.01, "lr": a.rate * a.head_rate},
    ]
    optimizer = torch.optim.AdamW(groups, fused=device == "cuda")
    per_epoch = max(1, sum(math.ceil(len(m.words) / (a.length / 1.3)) + 1 for _, m in train) // a.batch)
    steps = per_epoch * a.epochs
    began = time.time()

    def done(s: int) -> float:
        return max(s / steps, (time.time() - began) / (60 * a.minutes) if a.minutes else 0.0)

    schedule = torch.optim.lr_scheduler.LambdaLR(
        optimizer, lambda s: min(1.0, (s + 1) / (150 if a.minutes else 0.08 * steps)) * max(0.02, 1 - done(s))
    )
    live = [w for w in model.state_dict().values() if w.is_floating_point()]
    mean = [w.detach().clone() for w in live]
    teachers = Teachers(a.teachers, a.teacher_encoder, tok, device) if a.teachers else None
    total = torch.zeros((), device=device)
    model.train()
    loader = DataLoader(Batches(tok, train, a), batch_size=None, num_workers=1, prefetch_factor=16)
    for step, (ids, mask, ys, fold) in enumerate(loader, 1):
        if done(step) >= 1 and a.minutes:
            break
        ids, mask = ids.to(device, non_blocking=True), mask.to(device, non_blocking=True)
        ys = {k: y.to(device, non_blocking=True) for k, y in ys.items()}
        taught = teachers(ids, mask, fold.to(device)) if teachers else None
        with torch.autocast(device, dtype=torch.bfloat16, enabled=device == "cuda"):
            logits = model(ids, mask)
        loss = loss_of(logits, ys, taught, a.share, only_marks)
        optimizer.zero_grad()
        loss.backward()
        if a.push:
            push_embeddings(model, a.push, ids, mask, ys, device, taught, a.share, only_marks)
        nn.utils.clip_grad_norm_(model.parameters(), 1.0)
        optimizer.step()
        schedule.step()
        with torch.no_grad():
            torch._foreach_lerp_(mean, live, 1 - a.mean)
        total += loss.detach()
        if step % 100 == 0:
            print(
                f"{a.name} step {step} of about {steps}, loss {float(total) / 100:.3f}, {time.time() - began:.0f} s",
                flush=True,
            )
            total.zero_()
    with torch.no_grad():  # what is kept is the running mean of the weights
        for w, kept in zip(live, mean, strict=True):
            w.copy_(kept)
    if held:
        scores = evaluate(model, tok, held, a.length, device)
        print(a.name, f"{time.time() - began:.0f} s", " ".join(f"{k}:{v:.3f}" for k, v in scores.items()), flush=True)
    a.out.mkdir(parents=True, exist_ok=True)
    from safetensors.torch import save_file

    save_file(
        {k: w.half().cpu().contiguous() for k, w in model.state_dict().items() if w.is_floating_point()},
        str(a.out / f"{a.name}.safetensors"),
    )
    (a.out / f"{a.name}.json").write_text(
        json.dumps(
            {
                "layout": LAYOUT,
                "kinds": KINDS,
                "spans": SPANS,
                "length": a.length,
                "layers": model.bert.config.num_hidden_layers,
            },
            indent=1,
        )
    )


if __name__ == "__main__":
    main()
