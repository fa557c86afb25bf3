"""When each phone of the training speech is said, by a network that tells its words in time.

usage: alignment.py TEACHER.npz 'gen/*.npz,data/ls.npz' [SHARD OF] [DEVICE]

Writes FILE.times.npy beside each data file: for every phone of every utterance, end to end, its first and last output
frame (30 ms), by the likeliest path. The teacher is a network trained without layers that remember: with those nothing
holds the times. `batches.py` makes bounds of them.
"""

import glob
import json
import os
import sys
import time

import numpy as np
import torch

from batches import RATE, has_room, phone_numbers
from network import MINUS_INFINITY, Mfcc, numerator_graphs, outputs_told, stored_network

SAMPLES_A_BATCH = RATE * 3000
UNKNOWN = -1  # times of an utterance that has none


def likeliest_states(outputs, lengths, phone, skip, valid, final) -> torch.Tensor:
    """The state of the likeliest path at each frame, [batch, frames]; -1 beyond the end of a row."""
    batch, frames, _ = outputs.shape
    states = phone.shape[1]
    device = outputs.device
    never = torch.tensor(MINUS_INFINITY, device=device)
    first = outputs.gather(2, (2 * phone)[:, None].expand(batch, frames, states))
    further = outputs.gather(2, (2 * phone + 1)[:, None].expand(batch, frames, states))
    start = torch.where(valid & (torch.arange(states, device=device) < 2), first[:, 0], never)
    best, steps = start, []
    for t in range(1, frames):
        one = torch.cat([never.expand(batch, 1), best[:, :-1]], 1)
        two = torch.where(skip, torch.cat([never.expand(batch, 2), best[:, :-2]], 1), never)
        ways = torch.stack([best + further[:, t], one + first[:, t], two + first[:, t]])
        score, step = ways.max(0)
        running = (t < lengths)[:, None]
        best = torch.where(running & valid, score, torch.where(running, never, best))
        steps.append(torch.where(running, step, 0).to(torch.int8))
    state = torch.where(final, best, never).argmax(1)
    path = [state]
    for step in reversed(steps):
        state = state - step.gather(1, state[:, None])[:, 0].long()
        path.append(state)
    path = torch.stack(path[::-1], 1)
    return torch.where(torch.arange(frames, device=device)[None] < lengths[:, None], path, -1)


def phone_times(path: np.ndarray, words: list[list[int]]) -> np.ndarray:
    """First and last frame of each phone, [phones, 2], from the states of one row; silences are left out."""
    states, at = [], 0
    for word in words:
        states += list(range(at + 1, at + 1 + len(word)))
        at += len(word) + 1
    rows = [np.flatnonzero(path == state) for state in states]
    if any(len(row) == 0 for row in rows):
        return np.full((len(states), 2), UNKNOWN, "i2")
    return np.array([(row[0], row[-1]) for row in rows], "i2").reshape(-1, 2)


class Aligner:
    def __init__(self, teacher: str, device: str) -> None:
        self.network = stored_network(teacher).to(device).eval()
        self.features, self.device = Mfcc(1.0).to(device), device

    @torch.no_grad()
    def __call__(self, pieces: list[np.ndarray], labels: list[list[list[int]]]) -> list[np.ndarray]:
        lengths = torch.tensor([len(piece) for piece in pieces], device=self.device)
        x = torch.zeros(len(pieces), int(lengths.max()), device=self.device)
        for row, piece in enumerate(pieces):
            x[row, : len(piece)] = torch.from_numpy(piece).to(self.device).float()
        x, frames = self.features.of_each(x, lengths)
        with torch.autocast("cuda", torch.bfloat16, enabled=self.device.startswith("cuda")):
            outputs = self.network(x).float()
        graphs = [torch.from_numpy(a).to(self.device) for a in numerator_graphs(labels)[:4]]
        paths = likeliest_states(outputs, outputs_told(frames, outputs), *graphs).cpu().numpy()
        return [phone_times(path, words) for path, words in zip(paths, labels, strict=True)]


def align_file(aligner: Aligner, path: str) -> int:
    """Writes the times of one data file; returns the number of utterances that have them."""
    data = np.load(path)
    audio, lengths = data["audio"], data["lens"].astype("i8")
    ends = np.cumsum(lengths)
    labels = [phone_numbers(label) for label in json.loads(str(data["labels"]))]
    times = [np.full((sum(map(len, words)), 2), UNKNOWN, "i2") for words in labels]
    # Sorted by length, as many at once as fit.
    usable = [n for n in np.argsort(lengths) if labels[n] and has_room(labels[n], lengths[n])]
    while usable:
        count = max(1, min(len(usable), int(SAMPLES_A_BATCH / lengths[usable[-1]])))
        batch, usable = usable[-count:], usable[:-count]
        found = aligner([audio[ends[n] - lengths[n] : ends[n]] for n in batch], [labels[n] for n in batch])
        for number, one in zip(batch, found, strict=True):
            times[number] = one
    np.save(f"{path}.times.tmp.npy", np.concatenate(times) if times else np.zeros((0, 2), "i2"))
    os.replace(f"{path}.times.tmp.npy", f"{path}.times.npy")
    return sum(len(one) > 0 and one[0, 0] != UNKNOWN for one in times)


def main() -> None:
    teacher, names = sys.argv[1:3]
    shard, shards = (int(sys.argv[3]), int(sys.argv[4])) if len(sys.argv) > 4 else (0, 1)
    device = sys.argv[5] if len(sys.argv) > 5 else "cuda"
    paths = [path for name in names.split(",") for path in sorted(glob.glob(name))]
    aligner, started, count = Aligner(teacher, device), time.time(), 0
    for path in paths[shard::shards]:
        count += align_file(aligner, path)
    print(f"shard {shard}: times of {count} utterances in {time.time() - started:.0f} s", flush=True)


if __name__ == "__main__":
    main()
