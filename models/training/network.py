"""The acoustic network and its training criterion in PyTorch.

A factorised time-delay network (TDNN-F) in the layout that the recogniser's decoder can load, its
MFCC front end (the same numbers as the decoder computes), and a lattice-free maximum mutual
information criterion with a phone-bigram denominator.
"""

import json
import math
from pathlib import Path

import numpy as np
import torch
import torch.nn.functional as F
from torch import nn

from phone_set import PDF_COUNT

SAMPLE_RATE = 16_000
FEATURES = 40
WIDTH = 768
BOTTLENECK = 64
SKIP_SCALE = 0.66
FRAME_SUBSAMPLING = 3
MINUS_INFINITY = -1e30

# Time offsets of each layer's two halves (linear, affine), in frames of 10 ms. The first four layers
# run at every frame, the rest at every third. A layer whose second half has one offset looks only
# back: each one fewer to the right saves 30 ms of delay.
SYMMETRIC = ([-3, 0], [0, 3])
BACKWARD = ([-3, 0], [0])
Layers = list[tuple[list[int], list[int]]]


def layer_offsets(symmetric: int = 5, backward: int = 5, memory: tuple[int, ...] = ()) -> Layers:
    """Layer list with the given numbers of symmetric and backward-looking layers at the low rate.

    Each number of `memory` adds a layer that compares now with so many frames ago (multiples of 3), behind the first
    symmetric layers one by one: what a noise was like before the word tells what to take off it.
    """
    assert all(frames % FRAME_SUBSAMPLING == 0 for frames in memory) and len(memory) <= symmetric
    inner: Layers = []
    for number in range(symmetric):
        inner.append(SYMMETRIC)
        inner += [([-frames, 0], [0]) for frames in memory[number : number + 1]]
    return [([-1, 0], [0, 1])] * 3 + [([0], [0])] + inner + [BACKWARD] * backward


def layers_of(state: dict[str, np.ndarray]) -> Layers:
    """The layer list that a dictionary of weights was trained with."""
    return [(linear, affine) for linear, affine in json.loads(str(state["layers"]))]


def context(layers: Layers) -> tuple[int, int]:
    """Frames of left and right context that one output needs (the input layer's one each included)."""
    left = 1 - sum(min(linear) + min(affine) for linear, affine in layers)
    right = 1 + sum(max(linear) + max(affine) for linear, affine in layers)
    return left, right


def remembers(linear: list[int]) -> bool:
    """Whether a layer looks so far back that the start of the sound is not computed again for it."""
    return min(linear) < -FRAME_SUBSAMPLING


def without_memory(layers: Layers) -> Layers:
    """The layers for which the start of the sound is computed again."""
    return [layer for layer in layers if not remembers(layer[0])]


def mel_banks(count: int = 40, fft: int = 512, low: float = 20.0, high: float = 7600.0, warp: float = 1.0) -> np.ndarray:
    """Triangular filters on the mel scale 1127 ln(1 + f/700), one row a filter.

    `warp` above 1 hears every frequency as a higher one, as from a shorter vocal tract; the top stays in place.
    """

    def mel(frequency: float) -> float:
        return 1127.0 * math.log(1 + frequency / 700.0)

    def warped(frequency: float) -> float:
        knee, top = 4800.0 / max(warp, 1.0), SAMPLE_RATE / 2
        if frequency <= knee:
            return frequency * warp
        return top - (top - frequency) * (top - knee * warp) / (top - knee)

    step = (mel(high) - mel(low)) / (count + 1)
    weights = np.zeros((count, fft // 2 + 1), "f4")
    mels = np.array([mel(warped(index * SAMPLE_RATE / fft)) for index in range(fft // 2)])
    for row in range(count):
        left, centre, right = (mel(low) + (row + k) * step for k in range(3))
        rising, falling = (mels - left) / (centre - left), (right - mels) / (right - centre)
        inside = (mels > left) & (mels < right)
        weights[row, : fft // 2] = np.where(inside, np.where(mels <= centre, rising, falling), 0)
    return weights


SYNTHESIS_SHARE = 0.3


def other_synthesis(logarithm: torch.Tensor) -> torch.Tensor:
    """Filter outputs [batch, frames, filters] of which a share sounds as from another kind of synthesiser.

    One that makes speech from a few parameters blurs it in time and in frequency; one with too narrow resonances does the
    opposite. Each row has its own amounts: from wholly blurred to half of what the blur takes away put on top.
    """
    rows, _, filters = logarithm.shape

    def blurred(x: torch.Tensor, taps: int) -> torch.Tensor:
        padded = F.pad(x, (taps // 2, taps // 2), mode="replicate")
        return F.avg_pool1d(padded, taps, stride=1)

    def amount() -> torch.Tensor:
        drawn = torch.rand(rows, 1, 1, device=logarithm.device) * 1.5 - 0.5
        return drawn * (torch.rand(rows, 1, 1, device=logarithm.device) < SYNTHESIS_SHARE)

    by_time = logarithm.transpose(1, 2)
    by_time = torch.lerp(by_time, blurred(by_time, 5), amount())
    by_frequency = by_time.transpose(1, 2)
    return torch.lerp(by_frequency, blurred(by_frequency, 3), amount())


class Mfcc(nn.Module):
    """40 cepstra from 40 filters, 25 ms windows every 10 ms, as in `conf/mfcc.conf`.

    With `warped`, while training, most rows are heard through another vocal tract (`WARPS`).
    """

    WARPS = [1.0] * 5 + [0.84 + 0.02 * k for k in range(18) if k != 8]

    def __init__(self, dither: float = 1.0) -> None:
        super().__init__()
        self.dither = dither
        n = torch.arange(400).double()
        self.register_buffer("window", (0.5 - 0.5 * torch.cos(2 * math.pi * n / 399)).pow(0.85).float())
        banks = np.stack([mel_banks(warp=warp).T for warp in self.WARPS])
        self.register_buffer("mel", torch.tensor(banks).contiguous())
        position = np.arange(FEATURES)
        dct = np.zeros((FEATURES, FEATURES))
        dct[0] = math.sqrt(1 / FEATURES)
        for k in range(1, FEATURES):
            dct[k] = math.sqrt(2 / FEATURES) * np.cos(math.pi / FEATURES * (position + 0.5) * k)
        lifter = 1 + 0.5 * 22 * np.sin(math.pi * position / 22)
        self.register_buffer("dct", torch.tensor((dct * lifter[:, None]).T, dtype=torch.float32))

    def forward(self, samples: torch.Tensor, warped: bool = False) -> torch.Tensor:
        """Samples [batch, n] on the 16-bit scale -> features [batch, frames, 40]."""
        frames = samples.unfold(1, 400, 160)
        if self.dither:
            frames = frames + self.dither * torch.randn_like(frames)
        frames = frames - frames.mean(-1, keepdim=True)
        frames = frames - 0.97 * torch.cat([frames[..., :1], frames[..., :-1]], -1)
        spectrum = torch.fft.rfft(frames * self.window, 512)
        power = spectrum.real**2 + spectrum.imag**2
        if not warped:
            return torch.log((power @ self.mel[0]).clamp_min(1.1920929e-7)) @ self.dct
        chosen = torch.randint(len(self.WARPS), (len(samples),), device=samples.device)
        logarithm = torch.log((power @ self.mel[chosen]).clamp_min(1.1920929e-7))
        return other_synthesis(logarithm) @ self.dct

    def of_each(self, samples: torch.Tensor, lengths: torch.Tensor, warped: bool = False) -> tuple[torch.Tensor, torch.Tensor]:
        """Features of rows of different lengths, and how many frames each has; its last is repeated, as the decoder does."""
        x = self(samples, warped)
        frames = (lengths - 400) // 160 + 1
        at = torch.minimum(torch.arange(x.shape[1], device=x.device)[None], frames[:, None] - 1)
        return torch.gather(x, 1, at[:, :, None].expand(-1, -1, x.shape[2])), frames


def outputs_told(frames: torch.Tensor, outputs: torch.Tensor) -> torch.Tensor:
    """How many of the outputs belong to each row with so many frames."""
    return ((frames + FRAME_SUBSAMPLING - 1) // FRAME_SUBSAMPLING).clamp(max=outputs.shape[1])


class Norm(nn.BatchNorm1d):
    """Batch normalisation without scale and shift, as the decoder's component has it; [batch, frames, channels]."""

    def __init__(self, width: int) -> None:
        super().__init__(width, eps=1e-3, momentum=0.02, affine=False)

    def forward(self, x: torch.Tensor) -> torch.Tensor:
        return super().forward(x.reshape(-1, x.shape[2])).view(x.shape)


class Linear(nn.Module):
    def __init__(self, inputs: int, outputs: int, bias: bool = True) -> None:
        super().__init__()
        self.weight = nn.Parameter(torch.randn(outputs, inputs) / math.sqrt(inputs))
        self.bias = nn.Parameter(torch.zeros(outputs)) if bias else None


def spliced(x: torch.Tensor, taps: int) -> torch.Tensor:
    """Each frame beside the `taps - 1` frames after it: [batch, frames - taps + 1, taps × channels]."""
    frames = x.shape[1] - taps + 1
    return x if taps == 1 else torch.cat([x[:, k : k + frames] for k in range(taps)], 2)


class FactorisedLayer(nn.Module):
    def __init__(self, width: int, bottleneck: int, offsets) -> None:
        super().__init__()
        linear, affine = offsets
        self.taps = len(linear), len(affine)
        self.memory = -min(linear) // FRAME_SUBSAMPLING if remembers(linear) else 0
        # Frames lost on the left: both kinds of layer start with t-1, one that remembers repeats its first.
        self.skipped_left = 0 if self.memory else len(linear) - 1
        self.lin = Linear(width * self.taps[0], bottleneck, bias=False)
        self.aff = Linear(bottleneck * self.taps[1], width)
        self.bn = Norm(width)

    def narrowed(self, x: torch.Tensor) -> torch.Tensor:
        """The linear half. The wide input is not spliced (a copy): both taps in one product, added afterwards."""
        if self.taps[0] == 1:
            return F.linear(x, self.lin.weight)
        before, after = self.lin.weight.chunk(2, 1)
        both = F.linear(x, torch.cat([before, after]))
        size = before.shape[0]
        earlier, now = both[:, :, :size], both[:, :, size:]
        if not self.memory:
            return earlier[:, :-1] + now[:, 1:]
        first = earlier[:, :1].expand(-1, min(self.memory, x.shape[1]), -1)
        return torch.cat([first, earlier[:, : -self.memory]], 1) + now

    def forward(self, x: torch.Tensor, dropout: float) -> torch.Tensor:
        y = F.linear(spliced(self.narrowed(x), self.taps[1]), self.aff.weight, self.aff.bias)
        y = self.bn(F.relu(y))
        if dropout and self.training:  # continuous dropout, one factor a channel for the whole utterance
            y = y * (1 + 2 * dropout * (torch.rand(y.shape[0], 1, y.shape[2], device=y.device, dtype=y.dtype) * 2 - 1))
        return torch.add(y, x[:, self.skipped_left : self.skipped_left + y.shape[1]], alpha=SKIP_SCALE)


class AcousticNetwork(nn.Module):
    def __init__(self, layers, width: int = WIDTH, bottleneck: int = BOTTLENECK, pdfs: int = PDF_COUNT) -> None:
        super().__init__()
        whole = context(without_memory(layers))[0]
        for index, (linear, _) in enumerate(layers):
            # What a layer that remembers hears at the first frame it is given must lie before the sound.
            left, right = context(without_memory(layers[:index]))
            assert not remembers(linear) or left + right <= whole, "a layer that remembers stands too far back"
        self.layers = layers
        self.tdnn1 = Linear(3 * FEATURES, width)
        self.bn1 = Norm(width)
        self.f = nn.ModuleList([FactorisedLayer(width, bottleneck, offsets) for offsets in layers])
        self.pl = Linear(width, bottleneck, bias=False)
        self.pa = Linear(bottleneck, width)
        self.bn2 = Norm(width)
        self.p2 = Linear(width, bottleneck, bias=False)
        self.bn3 = Norm(bottleneck)
        self.out = Linear(bottleneck, pdfs)
        # Second head for the cross-entropy term; it exists in training only.
        self.xpa = Linear(bottleneck, width)
        self.xbn = Norm(width)
        self.xout = Linear(width, pdfs)
        nn.init.zeros_(self.out.weight)
        nn.init.zeros_(self.xout.weight)

    def load(self, weights) -> None:
        """Takes stored weights (an opened `.npz`), which have to be of the same layers."""
        assert layers_of(weights) == self.layers, "other layers than the weights"
        self.load_state_dict({name: torch.tensor(weights[name].astype("f4")) for name in weights if name != "layers"}, strict=False)

    def forward(self, features: torch.Tensor, dropout: float = 0.0, both_heads: bool = False):
        """Features [batch, frames, 40] -> outputs [batch, ceil(frames / 3), pdfs].

        The first and the last frame are repeated as context: the decoder does the same, and a
        network trained otherwise fails at the end of every utterance. Layers that remember take the first frame they
        are given for all before it: by then it hears nothing but the repeated frame.
        """
        frames = features.shape[1]
        outputs = (frames + 2) // FRAME_SUBSAMPLING
        left, right = context(without_memory(self.layers))
        missing = FRAME_SUBSAMPLING * (outputs - 1) + right - (frames - 1)
        x = F.pad(features.transpose(1, 2), (left, max(missing, 0)), mode="replicate").transpose(1, 2)
        x = x[:, : left + FRAME_SUBSAMPLING * (outputs - 1) + 1 + right]
        y = self.bn1(F.relu(F.linear(spliced(x, 3), self.tdnn1.weight, self.tdnn1.bias)))
        subsampled = False
        for (linear, _), layer in zip(self.layers, self.f, strict=True):
            if not subsampled and (min(linear) == -FRAME_SUBSAMPLING or linear == [0]):
                y, subsampled = y[:, ::FRAME_SUBSAMPLING].contiguous(), True
            y = layer(y, dropout)
        shared = F.linear(y, self.pl.weight)
        z = self.bn2(F.relu(F.linear(shared, self.pa.weight, self.pa.bias)))
        z = self.bn3(F.linear(z, self.p2.weight))
        main = F.linear(z, self.out.weight, self.out.bias)
        if not both_heads:
            return main
        z = self.xbn(F.relu(F.linear(shared, self.xpa.weight, self.xpa.bias)))
        return main, F.linear(z, self.xout.weight, self.xout.bias)


NO_BOUND = 30_000  # later than any output frame


def stored_network(path: str | Path) -> AcousticNetwork:
    """The network whose weights `train.py` wrote to `path`."""
    weights = np.load(path)
    width, bottleneck = weights["pa.weight"].shape
    network = AcousticNetwork(layers_of(weights), width, bottleneck)
    network.load(weights)
    return network


def numerator_graphs(utterances: list[list[list[int]]], bounds: list[list[tuple[float, float]] | None] | None = None, silence: int = 0):
    """Padded state arrays for the transcripts (words as lists of phone numbers).

    Optional silence stands before, between and after the words. Returns phones, "may be entered by
    skipping one state", valid, final, and the last output frame at which a state may be told, each [batch, states].
    `bounds` gives for each phone of an utterance the last frames for its begin and its end: silence must be over by
    the begin of the phone after it. Without them a network that remembers tells its words later and later.
    """
    rows = []
    for number, words in enumerate(utterances):
        given = bounds[number] if bounds else None
        times = iter(given if given else [(NO_BOUND, NO_BOUND)] * sum(map(len, words)))
        phones, skips, latest = [silence], [False], [NO_BOUND]
        for word in words:
            begins, ends = zip(*(next(times) for _ in word), strict=True)
            latest[-1] = int(begins[0])
            phones += [*word, silence]
            skips += [index == 0 for index in range(len(word))] + [False]
            latest += [*map(int, ends), NO_BOUND]
        rows.append((phones, skips, latest))
    states = max(len(phones) for phones, *_ in rows)
    shape = (len(rows), states)
    phone, skip = np.zeros(shape, "i8"), np.zeros(shape, bool)
    valid, final = np.zeros(shape, bool), np.zeros(shape, bool)
    until = np.full(shape, NO_BOUND, "i4")
    for row, (phones, skips, latest) in enumerate(rows):
        n = len(phones)
        phone[row, :n], skip[row, :n], valid[row, :n], until[row, :n] = phones, skips, True, latest
        final[row, max(0, n - 2) : n] = True
    return phone, skip, valid, final, until


def numerator(outputs, lengths, phone, skip, valid, final, until):
    """Log-sum over the alignments of the transcripts that keep to the bounds; outputs [batch, frames, pdfs]."""
    batch, frames, _ = outputs.shape
    states = phone.shape[1]
    first = outputs.gather(2, (2 * phone)[:, None, :].expand(batch, frames, states))
    further = outputs.gather(2, (2 * phone + 1)[:, None, :].expand(batch, frames, states))
    edge = torch.full((batch, 1), MINUS_INFINITY, device=outputs.device)
    start = torch.full((batch, states), MINUS_INFINITY, device=outputs.device)
    start[:, : min(2, states)] = math.log(0.5)
    alpha = torch.where(valid, start + first[:, 0], MINUS_INFINITY)
    skip_cost = torch.where(skip, 0.0, MINUS_INFINITY)
    history = [alpha]
    for t in range(1, frames):
        by_one = torch.cat([edge, alpha[:, :-1]], 1)
        by_two = torch.cat([edge, edge, alpha[:, :-2]], 1) + skip_cost
        entered = torch.logaddexp(by_one, by_two) + first[:, t]
        alpha = torch.where(until >= t, torch.logaddexp(alpha + further[:, t], entered), MINUS_INFINITY)
        history.append(alpha)
    last = torch.stack(history, 1)[torch.arange(batch, device=outputs.device), lengths - 1]
    return torch.logsumexp(torch.where(final, last, MINUS_INFINITY), 1)


def denominator(outputs, lengths, transition, initial, final):
    """Log-sum over all phone sequences under a phone bigram, renormalised at each frame."""
    batch, frames, _ = outputs.shape
    peak = outputs.detach().amax(2, keepdim=True)
    scaled = torch.exp((outputs - peak).clamp_min(-60))
    first, further = scaled[:, :, 0::2], scaled[:, :, 1::2]
    alpha = initial[None] * first[:, 0]
    total = alpha.sum(1, keepdim=True)
    alpha = alpha / total
    log_sum = torch.log(total[:, 0]) + peak[:, 0, 0]
    history = [log_sum + torch.log((alpha * final).sum(1) + 1e-30)]
    for t in range(1, frames):
        alpha = alpha * further[:, t] + (alpha @ transition) * first[:, t]
        total = alpha.sum(1, keepdim=True)
        alpha = alpha / total
        log_sum = log_sum + torch.log(total[:, 0]) + peak[:, t, 0]
        history.append(log_sum + torch.log((alpha * final).sum(1) + 1e-30))
    return torch.stack(history, 1)[torch.arange(batch, device=outputs.device), lengths - 1]
