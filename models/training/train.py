"""Trains the acoustic network from random weights.

usage: train.py --out WEIGHTS.npz --seconds 1200 --text TEXT.jsonl --real A.npz,B.npz --synthetic C.npz
                [--watch DIR] [--device cuda] [--iterations N] [--init WEIGHTS.npz]

Data files hold `audio` (16-bit, 16 kHz, end to end), `lens` and `labels` (JSON). `--watch` picks up
new k_*.npz files while training runs, so that speech can be synthesised beside it. The learning rate
follows a cosine over the given seconds.
"""

import argparse
import glob
import json
import math
import os
import random
import time

import numpy as np
import torch
import torch.nn.functional as F

from augmentation import Augmentation
from network import AcousticNetwork, Mfcc, denominator, layer_offsets, numerator, numerator_graphs
from phone_set import ALL_PHONES, PHONE_INDEX, plain_phone

SECONDS_A_FRAME = 0.03
REAL_SHARE = 0.35


def phone_numbers(utterance) -> list[list[int]]:
    return [[PHONE_INDEX[plain_phone(phone)] for phone in phones] for _, phones in utterance if phones]


def phone_bigram(text: str, device: str):
    """Transition, initial and final probabilities of phones (silence included) from the texts."""
    size = len(ALL_PHONES)
    pair, first, last = np.full((size, size), 0.02), np.full(size, 0.02), np.full(size, 0.02)
    for line in open(text, encoding="utf-8").read().split("\n")[:30000]:
        words = phone_numbers(json.loads(line)) if line else []
        if not words:
            continue
        first[0] += 0.5
        first[words[0][0]] += 0.5
        pair[0, words[0][0]] += 0.5
        for index, word in enumerate(words):
            for a, b in zip(word[:-1], word[1:], strict=True):
                pair[a, b] += 1
            end = word[-1]
            pair[end, 0] += 0.5
            if index + 1 == len(words):
                last[0] += 0.5
                last[end] += 0.5
            else:
                pair[end, words[index + 1][0]] += 0.5
                pair[0, words[index + 1][0]] += 0.5
    total = pair.sum(1) + last
    return tuple(
        torch.tensor(a, dtype=torch.float32, device=device) for a in (pair / total[:, None], first / first.sum(), last / total)
    )


class Pool:
    """Utterances end to end on the device, drawn by number."""

    def __init__(self, device: str) -> None:
        self.device, self.parts, self.samples = device, [], 0
        self.offsets, self.lengths, self.labels = [], [], []

    def add(self, path: str) -> None:
        data = np.load(path)
        starts = np.concatenate([[0], np.cumsum(data["lens"])])[:-1]
        for start, length, label in zip(starts, data["lens"], json.loads(str(data["labels"])), strict=True):
            phones = phone_numbers(label)
            if sum(map(len, phones)) * 1.05 + 2 > length / 16000 / SECONDS_A_FRAME:
                continue  # the topology needs a frame a phone, also after speeding up
            self.offsets.append(self.samples + int(start))
            self.lengths.append(int(length))
            self.labels.append(phones)
        self.parts.append(torch.from_numpy(data["audio"]).to(self.device))
        self.samples += len(data["audio"])

    def settle(self) -> None:
        if self.parts:
            self.flat = torch.cat(self.parts)
            self.parts = [self.flat]
            self.offset_array, self.length_array = np.array(self.offsets), np.array(self.lengths)

    @property
    def hours(self) -> float:
        return self.samples / 57.6e6

    def fetch(self, indices, length: int, places, speeds) -> torch.Tensor:
        """Utterances at the given sample places in rows of `length`, resampled by the speeds."""
        device = self.device
        offset = torch.tensor(self.offset_array[indices], device=device)[:, None]
        own = torch.tensor(self.length_array[indices], device=device)[:, None]
        place = torch.tensor(places, device=device, dtype=torch.float32)[:, None]
        speed = torch.tensor(speeds, device=device, dtype=torch.float32)[:, None]
        t = (torch.arange(length, device=device)[None].float() - place) * speed
        whole = t.floor().long()
        part = t - whole
        inside = (whole >= 0) & (whole < own - 1)
        whole = torch.minimum(whole.clamp(min=0), own - 2)
        a, b = self.flat[offset + whole].float(), self.flat[offset + whole + 1].float()
        return (a + (b - a) * part) * inside


class Batches:
    """Draws utterances, joins some, places them in silence, and adds what a workshop adds."""

    def __init__(self, real: Pool, synthetic: Pool, rng: np.random.RandomState, device: str) -> None:
        self.real, self.synthetic, self.rng, self.device = real, synthetic, rng, device
        self.augmentation = Augmentation(device, rng)

    def pool(self) -> Pool:
        wanted = self.real if self.rng.rand() < REAL_SHARE else self.synthetic
        return wanted if wanted.samples else (self.real if self.real.samples else self.synthetic)

    def choose(self, count: int):
        chosen = []
        for _ in range(count):
            pool = self.pool()
            item = [(pool, self.rng.randint(len(pool.lengths)))]
            if self.rng.rand() < 0.2:
                other = self.pool()
                index = self.rng.randint(len(other.lengths))
                if pool.lengths[item[0][1]] + other.lengths[index] < 6 * 16000:
                    item.append((other, index))
            chosen.append(item)
        return chosen

    def make(self, items):
        """Samples [batch, n], feature frames of each, and the transcripts."""
        rng, device, batch = self.rng, self.device, len(items)
        speeds = 1 + (rng.rand(batch) - 0.5) * 0.3 * (rng.rand(batch) < 0.8)
        labels, pieces, lengths, starts, ends = [], [], [], [], []
        for row, item in enumerate(items):
            place = int(rng.uniform(0, 0.9) ** 1.5 * 16000 * (rng.rand() < 0.85))
            starts.append(place)
            label: list[list[int]] = []
            for pool, index in item:
                pieces.append((pool, index, row, place))
                length = pool.lengths[index]
                needed = sum(map(len, pool.labels[index])) * 1.05 + 2
                if length / 16000 / speeds[row] / SECONDS_A_FRAME < needed:
                    speeds[row] = max(0.8, length / 16000 / SECONDS_A_FRAME / needed)
                label += pool.labels[index]
                place += int(length / speeds[row])
                place += int(rng.uniform(0, 0.4) * 16000)
            ends.append(place)
            lengths.append(place + int(rng.uniform(0, 1.0) ** 1.3 * 16000))
            labels.append(label)
        longest = max(lengths)
        longest += 480 - longest % 480
        x = torch.zeros(batch, longest, device=device)
        for pool in (self.synthetic, self.real):
            own = [piece for piece in pieces if piece[0] is pool]
            if not own:
                continue
            speech = pool.fetch(
                np.array([p[1] for p in own]), longest, [p[3] for p in own], [speeds[p[2]] for p in own]
            )
            size = torch.tensor([pool.lengths[p[1]] for p in own], device=device)
            level = (speech.pow(2).sum(1) / size).sqrt().clamp_min(1.0)[:, None]
            x.index_add_(0, torch.tensor([p[2] for p in own], device=device), speech / level * 2000)
        for row in np.where(rng.rand(batch) < 0.05)[0]:  # noise alone
            x[row], labels[row] = 0, []
        size = torch.tensor(lengths, device=device)
        y = self.augmentation(
            x, size.float(), torch.tensor(starts, device=device), torch.tensor(ends, device=device)
        )
        return y, (size - 400) // 160 + 1, labels


def arguments() -> argparse.Namespace:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--out", required=True)
    parser.add_argument("--seconds", type=float, required=True)
    parser.add_argument("--text", required=True)
    parser.add_argument("--real", default="")
    parser.add_argument("--synthetic", default="")
    parser.add_argument("--watch", default="")
    parser.add_argument("--init", default="", help="weights of an earlier run of this program to go on from")
    parser.add_argument("--warm-up", type=int, default=200, help="iterations until the full learning rate")
    parser.add_argument("--device", default="cuda")
    parser.add_argument("--batch", type=int, default=256)
    parser.add_argument("--rate", type=float, default=1.5e-3)
    parser.add_argument("--iterations", type=int, default=10**9)
    parser.add_argument("--seed", type=int, default=0)
    parser.add_argument("--dropout", type=float, default=0.1)
    parser.add_argument("--symmetric", type=int, default=5)
    parser.add_argument("--backward", type=int, default=5)
    return parser.parse_args()


def main() -> None:
    options = arguments()
    device, started = options.device, time.time()
    torch.manual_seed(options.seed)
    random.seed(options.seed)
    rng = np.random.RandomState(options.seed)
    torch.backends.cuda.matmul.allow_tf32 = torch.backends.cudnn.allow_tf32 = True
    bigram = phone_bigram(options.text, device)
    real, synthetic, seen = Pool(device), Pool(device), set()
    for pool, names in ((real, options.real), (synthetic, options.synthetic)):
        for name in filter(None, names.split(",")):
            pool.add(name)
        pool.settle()

    def look_for_speech() -> None:
        new = [p for p in sorted(glob.glob(f"{options.watch}/k_*.npz")) if p not in seen and not p.endswith(".tmp.npz")]
        for path in new if options.watch else []:
            seen.add(path)
            synthetic.add(path)
        if new:
            synthetic.settle()

    look_for_speech()
    print(f"real {real.hours:.2f} h, synthetic {synthetic.hours:.2f} h", flush=True)
    batches = Batches(real, synthetic, rng, device)
    network, features = AcousticNetwork(layer_offsets(options.symmetric, options.backward)).to(device), Mfcc(1.0).to(device)
    if options.init:
        kept = np.load(options.init)
        network.load_state_dict({name: torch.tensor(kept[name].astype("f4")) for name in kept.files}, strict=False)
    else:
        with torch.no_grad():
            network.tdnn1.weight.mul_(0.05)  # cepstra are large numbers
    optimiser = torch.optim.AdamW(network.parameters(), lr=options.rate, weight_decay=0.01, betas=(0.9, 0.98))

    def save() -> None:
        state = {k: v.detach().float().cpu().numpy() for k, v in network.state_dict().items() if "num_batches" not in k}
        np.savez(f"{options.out}.tmp.npz", **state)
        os.replace(f"{options.out}.tmp.npz", options.out)

    iteration, sums, looked, saved = 0, [], time.time(), time.time()
    while iteration < options.iterations and time.time() - started < options.seconds:
        if time.time() - looked > 45:
            looked = time.time()
            look_for_speech()
        if time.time() - saved > 120:
            saved = time.time()
            save()
        drawn = batches.choose(options.batch * 8)
        drawn.sort(key=lambda item: sum(pool.lengths[index] for pool, index in item))
        groups = [drawn[i : i + options.batch] for i in range(0, len(drawn), options.batch)]
        random.shuffle(groups)
        for items in groups:
            elapsed = time.time() - started
            if elapsed > options.seconds or iteration >= options.iterations:
                break
            rate = options.rate * min(1, (iteration + 1) / options.warm_up) * (0.5 * (1 + math.cos(math.pi * elapsed / options.seconds)) + 0.005)
            for group in optimiser.param_groups:
                group["lr"] = rate
            sums.append(step(network, features, optimiser, batches.make(items), bigram, options.dropout))
            iteration += 1
            if iteration % 100 == 0 or iteration < 4:
                mmi, cross, square, used = torch.stack(sums).mean(0).tolist()
                sums = []
                speed = iteration / (time.time() - started)
                print(
                    f"it {iteration} t {elapsed:.0f} rate {rate:.5f} mmi {mmi:.4f} xent {cross:.4f} square {square:.2f} "
                    f"used {used:.3f} it/s {speed:.2f} synthetic {synthetic.hours:.2f} h",
                    flush=True,
                )
    save()
    print(f"saved after {iteration} iterations", flush=True)


def step(network, features, optimiser, data, bigram, dropout: float) -> torch.Tensor:
    """One optimiser step; returns criterion, cross-entropy, mean square output and share of usable rows."""
    samples, frames, labels = data
    network.train()
    with torch.no_grad():
        x = features(samples)
        at = torch.minimum(torch.arange(x.shape[1], device=x.device)[None], frames[:, None] - 1)
        x = torch.gather(x, 1, at[:, :, None].expand(-1, -1, x.shape[2]))  # repeat the last frame, as the decoder does
    outputs, cross_outputs = network(x, dropout, both_heads=True)
    lengths = ((frames + 2) // 3).clamp(max=outputs.shape[1])
    outputs = outputs.float()
    graphs = [torch.from_numpy(a).to(x.device) for a in numerator_graphs(labels)]
    both = torch.cat([outputs, F.log_softmax(cross_outputs.float(), -1)])
    paths = numerator(both, torch.cat([lengths, lengths]), *[torch.cat([a, a]) for a in graphs])
    wanted, cross = paths.chunk(2)
    everything = denominator(outputs, lengths, *bigram)
    usable = (wanted > -1e20) & (cross > -1e20)
    weight = usable.float()
    count = (lengths * weight).sum().clamp_min(1)
    mmi = ((everything - wanted) * weight)[usable].sum() / count
    cross_entropy = -(cross * weight)[usable].sum() / count
    square = outputs.pow(2).mean()
    optimiser.zero_grad(set_to_none=True)
    (mmi + 0.15 * cross_entropy + 5e-4 * square).backward()
    norm = torch.nn.utils.clip_grad_norm_(network.parameters(), 3.0)
    if torch.isfinite(norm):
        optimiser.step()
    return torch.stack([mmi.detach(), cross_entropy.detach(), square.detach(), weight.mean()])


if __name__ == "__main__":
    main()
