"""Draws utterances for training batches and plans how they are laid out, in processes of their own.

A plan is a few small arrays; the sound itself stays on the training device (`SpeechStore`), where
`SpeechStore.lay_out` puts it together. Planning in Python beside the training loop would halve its
speed.

Here also words are relabelled as garbage: a random share of all words that are in no grammar gets the one
phone GARBAGE instead of its own phones. Told both, the network learns how likely a sound is a word that
is not known, which is what `[unk]` needs; words of the grammars keep their phones always.
"""

import json
import multiprocessing
from dataclasses import dataclass
from functools import cache

import numpy as np
import torch

from network import numerator_graphs
from phone_set import GARBAGE, PHONE_INDEX, plain_phone, pronunciations, without_r
from vocabulary import COMMANDS, LETTERS, NEAR_MISSES, NUMBER_WORDS, SPELLING, UNITS

RATE = 16_000
SECONDS_A_FRAME = 0.03
JOINED_SECONDS_MAX = 6
SORTED_BATCHES = 8  # drawn together and sorted by length, so that rows of a batch are about as long
HELD_OUT_EVERY = 60  # every so-manieth utterance is never trained on

# Probability that a word is relabelled. The recordings of real people hold hardly a word of the grammars:
# with the full share the network would learn that a real voice is garbage.
GARBAGE_SHARE, NEAR_MISS_SHARE, REAL_GARBAGE_SHARE = 0.5, 0.7, 0.25
GRAMMAR_WORDS = frozenset([*LETTERS, *SPELLING, *NUMBER_WORDS, *UNITS, *(w for c in COMMANDS for w in c.split())])
# No grammar holds one of these alone: outside a command it may be garbage.
GRAMMAR_WORDS -= frozenset("the is i am".split())


@cache
def grammar_sounds() -> frozenset[tuple[str, ...]]:
    """How the words of the grammars are said: "know" cannot be told from "no", "talk" not from a British "torque"."""
    known = pronunciations()
    spoken = [phones for word in GRAMMAR_WORDS if word in known for phones in known[word]]
    return frozenset(tuple(map(plain_phone, phones)) for one in spoken for phones in (one, without_r(one)))


def phone_numbers(utterance) -> list[list[int]]:
    return [[PHONE_INDEX[plain_phone(phone)] for phone in phones] for _, phones in utterance if phones]


def garbage_chances(utterance, real: bool) -> list[float]:
    """For each word with phones, how likely it is relabelled."""
    spoken = [(word, tuple(map(plain_phone, phones))) for word, phones in utterance if phones]
    words = [word for word, _ in spoken]
    if " ".join(words) in COMMANDS or words[:3] == ["the", "reading", "is"] or words[:2] == ["serial", "is"]:
        return [0.0] * len(words)
    share = [REAL_GARBAGE_SHARE if real else NEAR_MISS_SHARE if w in NEAR_MISSES else GARBAGE_SHARE for w in words]
    kept = [word in GRAMMAR_WORDS or sounds in grammar_sounds() for word, sounds in spoken]
    return [0.0 if keep else one for keep, one in zip(kept, share, strict=True)]


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
        self.chances: list[list[float]] = []
        self.kinds: list[tuple[float, np.ndarray]] = []
        self.held_out: list[tuple[float, np.ndarray]] = []

    def add(self, paths: list[str], share: float, real: bool = False) -> float:
        """Adds one kind; an utterance is drawn from it with probability `share`. Returns its hours."""
        first, before = len(self.lengths), self.samples
        for path in paths:
            data = np.load(path)
            audio, lengths = data["audio"], data["lens"].astype("i8")
            starts = np.concatenate([[0], np.cumsum(lengths)])[:-1]
            for start, length, label in zip(starts, lengths, json.loads(str(data["labels"])), strict=True):
                phones = phone_numbers(label)
                if frames_needed(phones) > length / RATE / SECONDS_A_FRAME:
                    continue
                self.offsets.append(self.samples + int(start))
                self.lengths.append(int(length))
                self.labels.append(phones)
                self.chances.append(garbage_chances(label, real))
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
        self.labels, self.chances = store.labels, store.chances
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

    def words(self, number: int) -> list[list[int]]:
        """The phones of an utterance's words, some of them relabelled as garbage."""
        return [
            [GARBAGE] if chance and self.rng.rand() < chance else phones
            for phones, chance in zip(self.labels[number], self.chances[number], strict=True)
        ]

    def plans(self):
        while True:
            drawn = [self.draw() for _ in range(self.batch * SORTED_BATCHES)]
            drawn.sort(key=lambda item: sum(self.lengths[n] for n in item))
            for k in self.rng.permutation(SORTED_BATCHES):
                yield self.plan(drawn[k * self.batch : (k + 1) * self.batch])

    def plan(self, items: list[list[int]]) -> Plan:
        rng, rows = self.rng, len(items)
        speeds = np.exp(rng.uniform(np.log(0.82), np.log(1.25), rows) * (rng.rand(rows) < 0.8))
        pieces, labels, starts, ends, lengths = [], [], [], [], []
        silent = rng.rand(rows) < 0.04
        for row, item in enumerate(items):
            place = int(rng.uniform(0, 0.9) ** 1.5 * RATE * (rng.rand() < 0.85))
            starts.append(place)
            label: list[list[int]] = []
            for number in item:
                length, needed = self.lengths[number], frames_needed(self.labels[number])
                if length / RATE / speeds[row] / SECONDS_A_FRAME < needed:
                    speeds[row] = max(0.75, length / RATE / SECONDS_A_FRAME / needed)
            for number in item:
                pieces.append((number, row, place, speeds[row]))
                label += self.words(number)
                place += int(self.lengths[number] / speeds[row])
                place += int(rng.uniform(0, 0.4) * RATE)
            ends.append(place)
            lengths.append(place + int(rng.uniform(0, 1.0) ** 1.3 * RATE))
            labels.append([] if silent[row] else label)
        number, row, place, speed = zip(*pieces, strict=True)
        return Plan(
            np.array(number), np.array(row), np.array(place), np.array(speed, "f4"),
            np.array(starts), np.array(ends), np.array(lengths), silent, numerator_graphs(labels),
        )  # fmt: skip


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
