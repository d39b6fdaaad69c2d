"""Train the writer of steps: from a stretch of talk and what was said around it, the sentences a viewer reads.

    python writer.py --encoder MINILM --out OUT [--seed 1] [--minutes 7] [--all]
    python writer.py --encoder MINILM --out OUT --average OUT/w1.safetensors OUT/w2.safetensors

An encoder reads a window of the talk; the stretch to write out is marked; a small decoder writes the steps it tells, word piece by
word piece, each either copied from the talk or taken from the vocabulary (pointer-generator, See et al. 2017, arXiv:1704.04368). Nothing
is written for a stretch that tells no step. On top of the encoder one layer says where tellings begin and end, another where a technique
is done for the first time. The decoder begins from layers of the encoder (Rothe et al. 2020, arXiv:1907.12461).

Every thirtieth narration is held out and scored unless ``--all``. Needs PyTorch, transformers, tokenizers and safetensors.
"""

from __future__ import annotations

import argparse
import json
import math
import random
import re
import time
from collections.abc import Iterator
from pathlib import Path

import torch
from tellings import WORD, Narration, read_all
from tokenizers import Tokenizer
from torch import nn
from torch.utils.data import DataLoader, IterableDataset, get_worker_info
from train import FILLERS, empty_encoder, ends, load_encoder, word_pieces

WINDOW = 320  # word pieces read at once
BEHIND = 110  # word pieces in front of a stretch, at least, that the writer sees while it learns
LONGEST = 56  # word pieces written at most
NEXT = 2  # the piece "[unused1]": here another step begins
HEAD = {"telling": (0, 3), "first": (3, 5)}


class Attention(nn.Module):
    def __init__(self, size: int, heads: int) -> None:
        super().__init__()
        self.q, self.k, self.v, self.o = (nn.Linear(size, size) for _ in range(4))
        self.norm = nn.LayerNorm(size, eps=1e-12)
        self.heads = heads

    def split(self, x: torch.Tensor) -> torch.Tensor:
        return x.unflatten(-1, (self.heads, -1)).transpose(1, 2)

    def attend(self, x: torch.Tensor, k: torch.Tensor, v: torch.Tensor, bias: torch.Tensor) -> torch.Tensor:
        q = self.split(self.q(x))
        weight = (q @ k.transpose(-1, -2) / math.sqrt(q.shape[-1]) + bias).softmax(-1)
        return self.norm(x + self.o((weight @ v).transpose(1, 2).flatten(2)))


class Layer(nn.Module):
    def __init__(self, size: int, heads: int, inner: int) -> None:
        super().__init__()
        self.own, self.other = Attention(size, heads), Attention(size, heads)
        self.up, self.down, self.norm = nn.Linear(size, inner), nn.Linear(inner, size), nn.LayerNorm(size, eps=1e-12)
        self.drop = nn.Dropout(0.1)

    def feed(self, x: torch.Tensor) -> torch.Tensor:
        return self.norm(x + self.drop(self.down(nn.functional.gelu(self.up(x)))))


class Writer(nn.Module):
    """``read`` gives the hidden states of windows (batch, width, size); ``write`` the log-probabilities of the next pieces."""

    def __init__(self, bert: nn.Module, layers: int) -> None:
        super().__init__()
        c = bert.config
        self.bert = bert
        self.size = c.hidden_size
        self.mark = nn.Parameter(torch.zeros(c.hidden_size))
        self.head = nn.Linear(c.hidden_size, 5)
        self.layers = nn.ModuleList(
            Layer(c.hidden_size, c.num_attention_heads, c.intermediate_size) for _ in range(layers)
        )
        self.at = nn.Embedding(LONGEST + 2, c.hidden_size)
        self.opening = nn.LayerNorm(c.hidden_size, eps=1e-12)
        self.turn, self.turned = nn.Linear(c.hidden_size, c.hidden_size), nn.LayerNorm(c.hidden_size, eps=1e-12)
        self.bias = nn.Parameter(torch.zeros(c.vocab_size))
        self.copy_q, self.copy_k = nn.Linear(c.hidden_size, c.hidden_size), nn.Linear(c.hidden_size, c.hidden_size)
        self.gate = nn.Linear(2 * c.hidden_size, 1)
        self.drop = nn.Dropout(0.1)

    @property
    def words(self) -> torch.Tensor:
        return self.bert.embeddings.word_embeddings.weight

    def begin_from_encoder(self) -> None:
        """Weights of the decoder from layers of the encoder, evenly spaced, the last among them."""
        with torch.no_grad():
            self.mark.normal_(0, 0.5)
            e = self.bert.embeddings
            self.at.weight.copy_(e.position_embeddings.weight[2 : LONGEST + 4])
            self.opening.load_state_dict(e.LayerNorm.state_dict())
            n = len(self.bert.encoder.layer)
            for i, mine in enumerate(self.layers):
                its = self.bert.encoder.layer[n - 1 - (len(self.layers) - 1 - i) * (n // len(self.layers))]
                a = its.attention
                names = (
                    (a.self.query, a.self.key, a.self.value, a.output.dense, a.output.LayerNorm)
                    if hasattr(a, "self")
                    else (a.attn.q, a.attn.k, a.attn.v, a.attn.o, a.LayerNorm)
                )
                for part in (mine.own, mine.other):
                    for to, of in zip((part.q, part.k, part.v, part.o, part.norm), names, strict=True):
                        to.load_state_dict(of.state_dict())
                mine.up.load_state_dict(its.intermediate.dense.state_dict())
                mine.down.load_state_dict(its.output.dense.state_dict())
                mine.norm.load_state_dict(its.output.LayerNorm.state_dict())
            self.turn.weight.copy_(torch.eye(self.size))
            self.turn.bias.zero_()

    def read(self, ids: torch.Tensor, mask: torch.Tensor) -> torch.Tensor:
        return self.bert(input_ids=ids, attention_mask=mask).last_hidden_state

    def embed(self, out: torch.Tensor, at: torch.Tensor) -> torch.Tensor:
        return self.drop(self.opening(nn.functional.embedding(out, self.words) + self.at(at)))

    def write(
        self, hidden: torch.Tensor, marked: torch.Tensor, ids: torch.Tensor, mask: torch.Tensor, out: torch.Tensor
    ) -> tuple[torch.Tensor, torch.Tensor, torch.Tensor]:
        """For ``out`` (batch, length) written so far: logits over the vocabulary, the share that is copied, and where from.

        ``hidden`` (batch, width, size) of each row's window, ``marked`` (batch, width) 1 where the stretch lies.
        """
        memory = hidden + marked[..., None] * self.mark
        x = self.embed(out, torch.arange(out.shape[1], device=out.device))
        n = out.shape[1]
        causal = torch.full((n, n), -1e4, device=out.device, dtype=x.dtype).triu(1)
        padded = ((1 - mask) * -1e4).to(x.dtype)[:, None, None, :]
        for layer in self.layers:
            x = layer.own.attend(x, layer.own.split(layer.own.k(x)), layer.own.split(layer.own.v(x)), causal)
            k, v = layer.other.split(layer.other.k(memory)), layer.other.split(layer.other.v(memory))
            x = layer.feed(layer.other.attend(x, k, v, padded))
        return self.finish(x, self.copy_k(memory), memory, padded[:, 0])

    def finish(
        self, x: torch.Tensor, keys: torch.Tensor, memory: torch.Tensor, padded: torch.Tensor
    ) -> tuple[torch.Tensor, torch.Tensor, torch.Tensor]:
        own = self.turned(nn.functional.gelu(self.turn(x))) @ self.words.T + self.bias
        where = (self.copy_q(x) @ keys.transpose(1, 2) / math.sqrt(self.size) + padded).softmax(-1)
        copied = torch.sigmoid(self.gate(torch.cat([x, where @ memory], -1)))
        return own, copied, where


def loss_of(
    model: Writer, hidden: torch.Tensor, of: torch.Tensor, marked: torch.Tensor, ids: torch.Tensor, mask: torch.Tensor, out: torch.Tensor
) -> torch.Tensor:  # fmt: skip
    """Mean negative log-likelihood of the pieces of ``out`` (0 is padding); ``of[i]`` is the window of row ``i``."""
    own, copied, where = model.write(hidden[of], marked.to(hidden.dtype), ids[of], mask[of], out[:, :-1])
    want = out[:, 1:]
    log_own = own.float().log_softmax(-1)
    p_own = log_own.gather(-1, want[..., None])[..., 0].exp()
    same = (ids[of][:, None, :] == want[..., None]).to(where.dtype)
    p_copy = (where * same).sum(-1).float()
    g = copied[..., 0].float()
    nll = -(((1 - g) * p_own + g * p_copy).clamp(min=1e-7)).log()
    there = want != 0
    return (nll * there).sum() / there.sum()


# ---- what it learns from ---------------------------------------------------------------------------------------------


class Shapes:
    """A narration as word pieces, with the tellings and the labels of the words."""

    def __init__(self, tok: Tokenizer, words: list[str], tellings: list[tuple[int, int, list[str]]], first: list[int]):
        e = tok.encode(words, is_pretokenized=True, add_special_tokens=False)
        self.ids: list[int] = e.ids
        self.of: list[int] = e.word_ids
        self.begin = [0] * (len(words) + 1)  # first piece of each word
        at = 0
        for w in range(len(words)):
            self.begin[w] = at
            while at < len(self.of) and self.of[at] == w:
                at += 1
        self.begin[len(words)] = len(self.ids)
        self.tellings, self.first = tellings, first
        self.words = words


def varied(
    n: Narration, rng: random.Random, pool: list[str], spoil: bool = True
) -> tuple[list[str], list[tuple[int, int, list[str]]], list[int]]:
    """A copy as a recogniser might write it, with some names and numbers exchanged, in the talk and in its steps alike."""
    change: dict[str, str] = {}
    if spoil and rng.random() < 0.5:
        for w in sorted(n.nouns):
            if rng.random() < 0.15:
                change[w] = rng.choice(pool)
    if spoil and rng.random() < 0.5:
        numbers = {w for w in n.words if w.isdigit()}
        for w in sorted(numbers):
            if rng.random() < 0.4:
                change[w] = str(rng.randrange(1, 10 ** len(w)))
    mode = rng.random() if spoil else 0.9
    drop = 1.0 if mode < 0.3 else 0.35 if mode < 0.45 else 0.04 if spoil else 0.0
    wrong = 0.02 if 0.2 < mode < 0.45 else 0.0
    fill = 0.015 if spoil and rng.random() < 0.3 else 0.0
    words, first, where = [], [], []
    for w, f in zip(n.words, n.first, strict=True):
        where.append(len(words))
        if w in '.,;:!?-–—"' and rng.random() < drop:
            continue
        words.append(change.get(w.lower(), w))
        first.append(f)
        if wrong and w.isalpha() and rng.random() < wrong:
            words.append(".")
            first.append(-1 if f < 0 else 0)
        if fill and rng.random() < fill:
            for x in rng.choice(FILLERS).split():
                words.append(x)
                first.append(-1 if f < 0 else 0)
    where.append(len(words))

    def put(step: str) -> str:
        if not change:
            return step
        return re.sub(r"[A-Za-z]+|\d+", lambda m: change.get(m.group().lower(), m.group()), step)

    tellings = []
    for t in n.tellings:
        a, b = where[t.start], where[t.end]
        if b > a:
            tellings.append((a, b, [put(s) for s in t.steps]))
    return words, tellings, first


def target(tok: Tokenizer, steps: list[str]) -> list[int]:
    """Pieces of the steps, [unused1] between them, with what opens and what closes."""
    opens, closes, _ = ends(tok)
    out = [opens]
    for i, s in enumerate(steps):
        if i:
            out.append(NEXT)
        out += tok.encode(WORD.findall(s), is_pretokenized=True, add_special_tokens=False).ids
    return [*out[: LONGEST - 1], closes]


def stretches(shape: Shapes, rng: random.Random) -> list[tuple[int, int, list[str]]]:
    """Stretches (first word, word behind the last, steps) to write out: tellings, two neighbours as one, and talk that tells none."""
    out = []
    t = shape.tellings
    n = len(shape.words)
    taken = [0] * (n + 1)
    for a, b, _ in t:
        for i in range(a, b):
            taken[i] = 1
    i = 0
    while i < len(t):
        a, b, steps = t[i]
        if i + 1 < len(t) and t[i + 1][0] - b < 8 and rng.random() < 0.15:
            b, steps = t[i + 1][1], [*steps, *t[i + 1][2]]
            i += 1
        # The ends are never found quite as they were marked.
        lo = max(0, a - rng.choice((0, 0, 0, 1, 2, 3, 5)))
        hi = min(n, b + rng.choice((0, 0, 0, 0, 1, 2, 4)))
        if a - lo and any(taken[lo:a]):
            lo = a
        if hi - b and any(taken[b:hi]):
            hi = b
        out.append((lo, hi, steps))
        i += 1
    at = 0
    while at < n:
        while at < n and taken[at]:
            at += 1
        end = at
        while end < n and not taken[end]:
            end += 1
        if end - at >= 5:
            while end - at >= 5:
                size = min(end - at, rng.randrange(5, 26))
                if rng.random() < 0.45:
                    out.append((at, at + size, []))
                at += size
        at = end
    return out


class Batches(IterableDataset):
    """Endless batches: windows, mask, head labels, and rows (window, marked, pieces)."""

    def __init__(self, tok: Tokenizer, every: list[Narration], windows: int, seed: int) -> None:
        self.tok, self.every, self.windows, self.seed = tok, every, windows, seed
        self.pool = sorted({w for n in every for w in n.nouns})

    def __iter__(self) -> Iterator[tuple[torch.Tensor, ...]]:
        info = get_worker_info()
        rng = random.Random(self.seed * 100 + (info.id if info else 0))
        ready: list[tuple] = []
        while True:
            order = list(self.every)
            rng.shuffle(order)
            for n in order:
                ready += windows_of(self.tok, Shapes(self.tok, *varied(n, rng, self.pool)), rng)
                if len(ready) > 40 * self.windows:
                    rng.shuffle(ready)
                    while len(ready) > 20 * self.windows:
                        yield together(self.tok, [ready.pop() for _ in range(self.windows)])


def windows_of(tok: Tokenizer, shape: Shapes, rng: random.Random) -> list[tuple]:
    opens, closes, _ = ends(tok)
    rows = [(shape.begin[a], shape.begin[b], target(tok, s)) for a, b, s in stretches(shape, rng)]
    out = []
    room = WINDOW - 2
    at = -rng.randrange(0, room // 2)
    while at < len(shape.ids) - 40:
        lo, hi = max(0, at), min(len(shape.ids), max(0, at) + room)
        ids = [opens, *shape.ids[lo:hi], closes]
        least = lo + BEHIND if lo else 0
        last = hi if hi == len(shape.ids) else hi - 24
        mine = [(a - lo + 1, b - lo + 1, y) for a, b, y in rows if a >= least and b <= last and b > a]
        tell = [-1] * len(ids)
        first = [-1] * len(ids)
        for p in range(lo, hi):
            w = shape.of[p]
            if shape.begin[w] == p:
                tell[p - lo + 1] = 0
                first[p - lo + 1] = shape.first[w]
        for a, b, _ in shape.tellings:
            for w in range(a, b):
                p = shape.begin[w]
                if lo <= p < hi and tell[p - lo + 1] >= 0:
                    tell[p - lo + 1] = 1 if w == a else 2
        if mine:
            out.append((ids, tell, first, mine))
        at += room // 2
    return out


def together(tok: Tokenizer, group: list[tuple]) -> tuple[torch.Tensor, ...]:
    pad = ends(tok)[2]
    width = max(len(g[0]) for g in group)
    ids = torch.full((len(group), width), pad, dtype=torch.long)
    mask = torch.zeros(len(group), width, dtype=torch.long)
    heads = torch.full((2, len(group), width), -1, dtype=torch.long)
    rows = [(r, a, b, y) for r, g in enumerate(group) for a, b, y in g[3]]
    longest = max(len(y) for *_, y in rows)
    of = torch.tensor([r for r, *_ in rows])
    marked = torch.zeros(len(rows), width)
    out = torch.zeros(len(rows), longest, dtype=torch.long)
    for r, (x, tell, first, _) in enumerate(group):
        ids[r, : len(x)] = torch.tensor(x)
        mask[r, : len(x)] = 1
        heads[0, r, : len(x)] = torch.tensor(tell)
        heads[1, r, : len(x)] = torch.tensor(first)
    for i, (_, a, b, y) in enumerate(rows):
        marked[i, a:b] = 1
        out[i, : len(y)] = torch.tensor(y)
    return ids, mask, heads, of, marked, out


# ---- what it has learnt ----------------------------------------------------------------------------------------------


@torch.no_grad()
def spell(model: Writer, hidden, of, marked, ids, mask, opens: int, closes: int) -> list[list[int]]:
    """The pieces written for each row, the likeliest one at a time."""
    rows = len(of)
    out = torch.full((rows, 1), opens, dtype=torch.long, device=ids.device)
    done = torch.zeros(rows, dtype=torch.bool, device=ids.device)
    for _ in range(LONGEST):
        own, copied, where = model.write(hidden[of], marked, ids[of], mask[of], out)
        p = (1 - copied[:, -1]).float() * own[:, -1].float().softmax(-1)
        p.scatter_add_(1, ids[of], copied[:, -1].float() * where[:, -1].float())
        best = p.argmax(-1).masked_fill(done, 0)
        out = torch.cat([out, best[:, None]], 1)
        done |= best == closes
        if done.all():
            break
    return [[t for t in row[1:] if t not in (0, closes)] for row in out.tolist()]


@torch.no_grad()
def evaluate(model: Writer, tok: Tokenizer, every: list[Narration], device: str, show: int = 0) -> dict[str, float]:
    """Exact share and piece F1 of written steps, what is written for nothing, and tellings found (begin within 3 words)."""
    model.eval()
    rng = random.Random(5)
    opens, closes, _ = ends(tok)
    exact = some = nothing = silent = lost = 0
    shared = wrote = wanted = 0
    hit = gold = got = 0
    first_hit = first_gold = first_got = 0
    nll, parts = 0.0, 0
    shown = []
    for n in every:
        shape = Shapes(tok, *varied(n, rng, [], spoil=False))
        for w in windows_of(tok, shape, rng):
            ids, mask, heads, of, marked, out = (x.to(device) for x in together(tok, [w]))
            hidden = model.read(ids, mask)
            nll += float(loss_of(model, hidden, of, marked, ids, mask, out))
            parts += 1
            for row, y in zip(spell(model, hidden, of, marked, ids, mask, opens, closes), out.tolist(), strict=True):
                y = [t for t in y[1:] if t not in (0, closes)]
                if not y:
                    nothing += 1
                    silent += not row
                    continue
                some += 1
                lost += not row
                exact += row == y
                x = list(y)
                for t in row:
                    if t in x:
                        x.remove(t)
                        shared += 1
                wrote, wanted = wrote + len(row), wanted + len(y)
                if len(shown) < show and rng.random() < 0.25:
                    shown.append(f"  {row == y!s:5} {tok.decode(row)}\n     <= {tok.decode(y)}")
            z = model.head(hidden)[0].float()
            tell = z[:, :3].argmax(-1).tolist()
            begins = [i for i, v in enumerate(tell) if v == 1 and int(heads[0, 0, i]) >= 0]
            true = [i for i, v in enumerate(heads[0, 0].tolist()) if v == 1]
            gold, got = gold + len(true), got + len(begins)
            hit += sum(any(abs(i - j) <= 4 for j in begins) for i in true)
            p = (z[:, 4] > z[:, 3]).tolist()
            truth = heads[1, 0].tolist()
            first_hit += sum(v == 1 and p[i] for i, v in enumerate(truth))
            first_gold += sum(v == 1 for v in truth)
            first_got += sum(p[i] for i, v in enumerate(truth) if v >= 0)
    model.train()
    for s in shown:
        print(s)
    return {
        "nll": nll / max(1, parts), "exact": exact / max(1, some), "pieces": 2 * shared / max(1, wrote + wanted), "lost": lost / max(1, some),
        "silent": silent / max(1, nothing), "begins": 2 * hit / max(1, gold + got), "first": 2 * first_hit / max(1, first_gold + first_got),
    }  # fmt: skip


def load(encoder: Path, weights: list[Path]) -> Writer:
    """The writer with the mean of ``weights``."""
    from safetensors.torch import load_file

    states = [load_file(str(p)) for p in weights]
    mean = {k: sum(s[k].float() for s in states) / len(states) for k in states[0]}
    layers = 1 + max(int(k.split(".")[1]) for k in mean if k.startswith("layers."))
    model = Writer(empty_encoder(encoder), layers)
    model.load_state_dict(mean, strict=False)
    return model.eval()


def save(model: Writer, path: Path) -> None:
    from safetensors.torch import save_file

    path.parent.mkdir(parents=True, exist_ok=True)
    state = {k: w.half().cpu().contiguous() for k, w in model.state_dict().items() if w.is_floating_point()}
    save_file(state, str(path))


def main() -> None:
    p = argparse.ArgumentParser()
    p.add_argument("--encoder", type=Path, required=True)
    p.add_argument("--out", type=Path, required=True)
    p.add_argument("--name", default="writer")
    p.add_argument("--layers", type=int, default=3, help="layers of the decoder")
    p.add_argument("--minutes", type=float, default=7)
    p.add_argument("--steps", type=int, default=100000)
    p.add_argument("--windows", type=int, default=16)
    p.add_argument("--rate", type=float, default=1.5e-4)
    p.add_argument("--fresh-rate", type=float, default=2.5, help="how many times faster what is new learns")
    p.add_argument("--mean", type=float, default=0.998)
    p.add_argument("--seed", type=int, default=1)
    p.add_argument("--all", action="store_true")
    p.add_argument("--average", type=Path, nargs="*")
    a = p.parse_args()
    torch.manual_seed(1)
    device = "cuda" if torch.cuda.is_available() else "cpu"
    tok = word_pieces(a.encoder)
    every = read_all(Path(__file__).parent)
    held = [n for i, n in enumerate(every) if i % 30 == 4]
    train = [n for i, n in enumerate(every) if a.all or i % 30 != 4]
    if a.average:
        model = load(a.encoder, a.average).to(device)
        save(model, a.out / f"{a.name}.safetensors")
        print("mean", {k: round(v, 3) for k, v in evaluate(model, tok, held, device, show=40).items()})
        return
    model = Writer(load_encoder(a.encoder, None), a.layers)
    model.begin_from_encoder()
    model.to(device)
    torch.manual_seed(a.seed)
    old = [q for k, q in model.named_parameters() if k.startswith("bert.")]
    new = [q for k, q in model.named_parameters() if not k.startswith("bert.")]
    optimizer = torch.optim.AdamW(
        [{"params": old, "lr": a.rate}, {"params": new, "lr": a.rate * a.fresh_rate}], weight_decay=0.01,
        fused=device == "cuda",
    )  # fmt: skip
    peaks = [g["lr"] for g in optimizer.param_groups]
    live = [w for w in model.state_dict().values() if w.is_floating_point()]
    mean = [w.detach().clone() for w in live]
    began, total, spent = time.time(), 0.0, 60.0 * a.minutes
    loader = DataLoader(Batches(tok, train, a.windows, a.seed), batch_size=None, num_workers=6, prefetch_factor=8)
    print(f"{len(train)} narrations, held out {len(held)}; {device}", flush=True)
    model.train()
    for step, batch in enumerate(loader, 1):
        # By the clock: the time there is decides how far the rate has come down.
        done = max((time.time() - began) / spent, step / a.steps)
        if done >= 1:
            break
        for g, peak in zip(optimizer.param_groups, peaks, strict=True):
            g["lr"] = peak * min(1.0, step / 300) * max(0.02, 1 - done)
        ids, mask, heads, of, marked, out = (x.to(device, non_blocking=True) for x in batch)
        with torch.autocast(device, dtype=torch.bfloat16, enabled=device == "cuda"):
            hidden = model.read(ids, mask)
            loss = loss_of(model, hidden, of, marked, ids, mask, out)
            z = model.head(model.drop(hidden)).float()
        tell = nn.functional.cross_entropy(z[..., :3].reshape(-1, 3), heads[0].reshape(-1), ignore_index=-1)
        first = nn.functional.cross_entropy(z[..., 3:].reshape(-1, 2), heads[1].reshape(-1), ignore_index=-1)
        loss = loss + 0.7 * tell + 0.7 * torch.nan_to_num(first)
        optimizer.zero_grad()
        loss.backward()
        nn.utils.clip_grad_norm_(model.parameters(), 1.0)
        optimizer.step()
        decay = min(a.mean, (step + 1) / (step + 10))
        with torch.no_grad():
            torch._foreach_lerp_(mean, live, 1 - decay)
        total += float(loss.detach()) if step % 20 == 0 else 0.0
        if step % 500 == 0:
            print(f"{a.name} step {step}, loss {total / 25:.3f}, {time.time() - began:.0f} s", flush=True)
            total = 0.0
    with torch.no_grad():
        for w, kept in zip(live, mean, strict=True):
            w.copy_(kept)
    save(model, a.out / f"{a.name}.safetensors")
    scores = evaluate(model, tok, held[:60], device, show=30)
    print(a.name, step, json.dumps({k: round(v, 3) for k, v in scores.items()}), flush=True)


if __name__ == "__main__":
    main()
