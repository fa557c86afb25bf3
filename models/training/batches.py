"""Draws utterances for training batches and plans how they are laid out, in processes of their own.

A plan is a few small arrays; the sound itself stays on the training device (`SpeechStore`), where
`SpeechStore.lay_out` puts it together. Planning in Python beside the training loop would halve its
speed.
"""

import json
import multiprocessing
import os
from dataclasses import dataclass
import numpy as np
import torch

from network import numerator_graphs
from phone_set import PHONE_INDEX, plain_phone

RATE = 16_000
SECONDS_A_FRAME = 0.03
SAMPLES_AN_OUTPUT = round(RATE * SECONDS_A_FRAME)
JOINED_SECONDS_MAX = 6
# How much later than the alignment says a phone may begin or end in training, in output frames of 30 ms.
LATE_FRAMES = 2
SORTED_BATCHES = 8  # drawn together and sorted by length, so that rows of a batch are about as long
HELD_OUT_EVERY = 60  # every so-manieth utterance is never trained on


def phone_numbers(utterance) -> list[list[int]]:
    return [[PHONE_INDEX[plain_phone(phone)] for phone in phones] for _, phones in utterance if phones]


def has_room(phones: list[list[int]], samples: int) -> bool:
    """Whether speech of that length has frames enough for its phones; it is never trained on where not."""
    return frames_needed(phones) <= samples / RATE / SECONDS_A_FRAME


def frames_needed(phones: list[list[int]]) -> float:
    """The topology needs a frame a phone; a little more leaves room for silence."""
    return sum(map(len, phones)) * 1.05 + 2


@dataclass
class Plan:
    """Pieces of speech and the rows they go to; times in samples."""

    piece: np.ndarray  # number of the utterance
    row: np.ndarray
    place: np.ndarray  # where in the row it begins
    speed: np.ndarray
    start: np.ndarray  # one a row from here: first and last sample of speech, length
    end: np.ndarray
    length: np.ndarray
    silent: np.ndarray
    graphs: tuple


class SpeechStore:
    """All utterances end to end. `kinds` holds the numbers of each kind's utterances and its share."""

    def __init__(self) -> None:
        self.parts: list[np.ndarray] = []
        self.samples = 0
        self.offsets: list[int] = []
        self.lengths: list[int] = []
        self.labels: list[list[list[int]]] = []
        self.times: list[np.ndarray | None] = []  # first and last frame of each phone, where an alignment has them
        self.kinds: list[tuple[float, np.ndarray]] = []
        self.held_out: list[tuple[float, np.ndarray]] = []

    def add(self, paths: list[str], share: float) -> float:
        """Adds one kind; an utterance is drawn from it with probability `share`. Returns its hours."""
        first, before = len(self.lengths), self.samples
        for path in paths:
            data = np.load(path)
            audio, lengths = data["audio"], data["lens"].astype("i8")
            starts = np.concatenate([[0], np.cumsum(lengths)])[:-1]
            aligned = np.load(f"{path}.times.npy") if os.path.exists(f"{path}.times.npy") else None
            at = 0
            for start, length, label in zip(starts, lengths, json.loads(str(data["labels"])), strict=True):
                phones = phone_numbers(label)
                count = sum(map(len, phones))
                times = None if aligned is None else aligned[at : at + count]
                at += count
                if not has_room(phones, length):
                    continue
                self.offsets.append(self.samples + int(start))
                self.lengths.append(int(length))
                self.labels.append(phones)
                self.times.append(times if times is not None and len(times) and times[0, 0] >= 0 else None)
            self.parts.append(audio)
            self.samples += len(audio)
        if len(self.lengths) > first:
            numbers = np.arange(first, len(self.lengths))
            held = numbers % HELD_OUT_EVERY == 0
            self.kinds.append((share, numbers[~held]))
            self.held_out.append((share, numbers[held] if held.any() else numbers))
        return (self.samples - before) / RATE / 3600

    def to(self, device: str) -> None:
        self.device = device
        self.flat = torch.empty(self.samples, dtype=torch.int16, device=device)
        at = 0
        while self.parts:
            part = self.parts.pop(0)
            self.flat[at : at + len(part)] = torch.from_numpy(part).to(device)
            at += len(part)
        self.offset = torch.tensor(self.offsets, device=device)
        self.own_length = torch.tensor(self.lengths, device=device)

    def lay_out(self, plan: Plan) -> torch.Tensor:
        """Rows of speech at level 2000 on the 16-bit scale, [rows, samples]."""
        device = self.device
        rows = len(plan.length)
        longest = int(plan.length.max())
        longest += 480 - longest % 480
        piece = torch.from_numpy(plan.piece).to(device, non_blocking=True)
        place = torch.from_numpy(plan.place).to(device, non_blocking=True)[:, None]
        speed = torch.from_numpy(plan.speed).to(device, non_blocking=True)[:, None]
        offset, own = self.offset[piece][:, None], self.own_length[piece][:, None]
        t = (torch.arange(longest, device=device)[None] - place).float() * speed
        whole = t.floor()
        part = t - whole
        whole = whole.long()
        inside = (whole >= 0) & (whole < own - 1)
        whole = torch.minimum(whole.clamp(min=0), own - 2) + offset
        a, b = self.flat[whole].float(), self.flat[whole + 1].float()
        speech = (a + (b - a) * part) * inside
        level = (speech.pow(2).sum(1) / own[:, 0]).sqrt().clamp_min(1.0)[:, None]
        x = torch.zeros(rows, longest, device=device)
        x.index_add_(0, torch.from_numpy(plan.row).to(device), speech / level * 2000)
        return x * ~torch.from_numpy(plan.silent).to(device)[:, None]


class Planner:
    def __init__(self, store: SpeechStore, seed: int, batch: int, held_out: bool = False) -> None:
        self.rng, self.batch = np.random.RandomState(seed), batch
        self.kinds = store.held_out if held_out else store.kinds
        self.labels, self.times = store.labels, store.times
        self.lengths = np.array(store.lengths)
        shares = np.array([share for share, _ in self.kinds])
        self.shares = shares / shares.sum()

    def draw(self) -> list[int]:
        """One utterance, sometimes two that follow each other."""

        def one() -> int:
            _, numbers = self.kinds[self.rng.choice(len(self.kinds), p=self.shares)]
            return int(numbers[self.rng.randint(len(numbers))])

        item = [one()]
        if self.rng.rand() < 0.2:
            other = one()
            if self.lengths[item[0]] + self.lengths[other] < JOINED_SECONDS_MAX * RATE:
                item.append(other)
        return item

    def plans(self):
        while True:
            drawn = [self.draw() for _ in range(self.batch * SORTED_BATCHES)]
            drawn.sort(key=lambda item: sum(self.lengths[n] for n in item))
            for k in self.rng.permutation(SORTED_BATCHES):
                yield self.plan(drawn[k * self.batch : (k + 1) * self.batch])

    def plan(self, items: list[list[int]]) -> Plan:
        rng, rows = self.rng, len(items)
        speeds = np.exp(rng.uniform(np.log(0.82), np.log(1.25), rows) * (rng.rand(rows) < 0.8))
        pieces, labels, starts, ends, lengths, bounds = [], [], [], [], [], []
        silent = rng.rand(rows) < 0.04
        for row, item in enumerate(items):
            place = int(rng.uniform(0, 0.9) ** 1.5 * RATE * (rng.rand() < 0.85))
            starts.append(place)
            label: list[list[int]] = []
            late: list[tuple[float, float]] | None = []
            for number in item:
                length, needed = self.lengths[number], frames_needed(self.labels[number])
                if length / RATE / speeds[row] / SECONDS_A_FRAME < needed:
                    speeds[row] = max(0.75, length / RATE / SECONDS_A_FRAME / needed)
            for number in item:
                pieces.append((number, row, place, speeds[row]))
                label += self.labels[number]
                late = self.later(number, place, speeds[row], late)
                place += int(self.lengths[number] / speeds[row])
                place += int(rng.uniform(0, 0.4) * RATE)
            ends.append(place)
            lengths.append(place + int(rng.uniform(0, 1.0) ** 1.3 * RATE))
            labels.append([] if silent[row] else label)
            bounds.append(None if silent[row] else late)
        number, row, place, speed = zip(*pieces, strict=True)
        return Plan(
            np.array(number), np.array(row), np.array(place), np.array(speed, "f4"),
            np.array(starts), np.array(ends), np.array(lengths), silent, numerator_graphs(labels, bounds),
        )  # fmt: skip

    def later(self, number: int, place: int, speed: float, before: list[tuple[float, float]] | None):
        """Bounds of the phones so far with those of one more utterance; none where one of them has no times."""
        times = self.times[number]
        if before is None or times is None:
            return None
        frames = place / SAMPLES_AN_OUTPUT + times / speed + LATE_FRAMES
        return before + [(begin, end) for begin, end in frames.tolist()]


def planned_batches(store: SpeechStore, seed: int, batch: int, processes: int):
    """An endless iterator over plans, made by `processes` daemon processes (call before CUDA is used)."""
    if not processes:
        return Planner(store, seed, batch).plans()
    context = multiprocessing.get_context("fork")
    queue = context.Queue(maxsize=4 * processes)

    def work(number: int) -> None:
        torch.set_num_threads(1)
        for plan in Planner(store, seed * 1000 + number, batch).plans():
            queue.put(plan)

    for number in range(processes):
        context.Process(target=work, args=(number,), daemon=True).start()
    return iter(queue.get, None)
