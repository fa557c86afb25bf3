"""Rooms, workshop noise, microphones and levels, made on the fly on the training device.

Everything is random and made from formulas (no noise recordings), so there is nothing to license:
coloured noise and motor hum (fans, compressors), compressed-air hiss that comes and goes with the whine
of an air tool, ringing impacts of metal on metal, a radio (tunes of plain tones), one to six talkers
taken from the batch itself, room impulse responses, distance, equalisation, band limits and gaps, level
and clipping.
"""

import math

import numpy as np
import torch
import torch.nn.functional as F

ROOM_SAMPLES = 6400


class Augmentation:
    def __init__(self, device: str, rng: np.random.RandomState, rooms: int = 400) -> None:
        self.device, self.rng = device, rng
        self.rooms = self.room_responses(rooms)

    def uniform(self, *shape: int) -> torch.Tensor:
        return torch.rand(*shape, device=self.device)

    def room_responses(self, count: int) -> torch.Tensor:
        """Exponentially decaying noise, 60 dB in 0.08–0.63 s, direct sound 3 dB below to 15 dB above it."""
        t = torch.arange(ROOM_SAMPLES, device=self.device) / 16000.0
        decay = torch.rand(count, 1, device=self.device) * 0.55 + 0.08
        response = torch.randn(count, ROOM_SAMPLES, device=self.device) * torch.exp(-6.9 * t[None] / decay)
        density = 0.02 + 0.98 * (1 - torch.exp(-t[None] / 0.03))  # sparse early reflections, dense tail
        response = response * (torch.rand(count, ROOM_SAMPLES, device=self.device) < density)
        first = (torch.rand(count, 1, device=self.device) * 0.008 * 16000).long()
        response = response * (torch.arange(ROOM_SAMPLES, device=self.device)[None] >= first)
        direct = 10 ** ((torch.rand(count, 1, device=self.device) * 18 - 3) / 20)
        response = response / response.pow(2).sum(1, keepdim=True).sqrt() / direct
        response[:, 0] += 1
        return response

    def smooth_curve(self, batch: int, bins: int) -> torch.Tensor:
        """A random smooth curve over log frequency, standard deviation 1."""
        knots = 8
        values = torch.randn(batch, knots, device=self.device)
        x = torch.linspace(0, 1, bins, device=self.device)
        at = torch.log1p(x * 80) / math.log(81) * (knots - 1)
        index = at.floor().long().clamp(max=knots - 2)
        return values[:, index] * (1 - (at - index)) + values[:, index + 1] * (at - index)

    def slow_envelope(self, batch: int, length: int, step: int) -> torch.Tensor:
        keys = torch.randn(batch, max(2, length // step), device=self.device)
        return F.interpolate(keys[:, None], length, mode="linear")[:, 0]

    def workshop_noise(self, batch: int, length: int, size: int, frequency: torch.Tensor) -> torch.Tensor:
        """Coloured noise with motor harmonics, some air hiss, and impacts; unit level."""
        bins = size // 2 + 1
        colour = 10 ** (self.smooth_curve(batch, bins) * 12 / 20)
        tilt = (frequency / 1000 + 0.05) ** (-(self.uniform(batch, 1) * 1.8 - 0.6))
        spectrum = torch.randn(batch, bins, dtype=torch.complex64, device=self.device) * colour * tilt
        turning = 25 * 2 ** (self.uniform(batch, 1) * 5)  # motor and blade-pass frequencies, 25–800 Hz
        distance = (frequency / turning - torch.round(frequency / turning)).abs() * turning
        width = 0.7 + turning * 0.02 * self.uniform(batch, 1) ** 2
        strength = 3 * 10 ** (self.uniform(batch, 1) * 1.5) * (self.uniform(batch, 1) < 0.45)
        highest = 500 * 2 ** (self.uniform(batch, 1) * 4)
        hum = torch.exp(-((distance / width) ** 2)) * strength * torch.sigmoid((highest - frequency) / (highest * 0.2))
        noise = torch.fft.irfft(spectrum * (1 + hum), size)[:, :length]
        noise = noise * torch.exp(self.slow_envelope(batch, length, 8000) * self.uniform(batch, 1))
        noise = noise / noise.pow(2).mean(1, keepdim=True).sqrt().clamp_min(1e-6)
        # Air tool: broad hiss above 1 kHz that switches on and off.
        hiss = torch.randn(batch, bins, dtype=torch.complex64, device=self.device) * torch.sigmoid((frequency - 1500) / 300)
        hiss = torch.fft.irfft(hiss, size)[:, :length]
        gate = torch.sigmoid(self.slow_envelope(batch, length, 5000) * 12)
        hiss = hiss / hiss.pow(2).mean(1, keepdim=True).sqrt().clamp_min(1e-6)
        t = torch.arange(length, device=self.device)[None] / 16000.0
        whine = torch.sin(2 * math.pi * (600 * 2 ** (self.uniform(batch, 1) * 2)) * t)  # of the turbine, 600–2400 Hz
        hiss = (hiss + whine * self.uniform(batch, 1) * (self.uniform(batch, 1) < 0.6)) * gate
        noise = noise + hiss * 2 * (self.uniform(batch, 1) < 0.25)
        return noise + self.impacts(batch, length, size)

    def impacts(self, batch: int, length: int, size: int) -> torch.Tensor:
        """Sparse blows, half of them through a room, half ringing like struck metal."""
        rate = self.uniform(batch, 1) * 3 / 16000
        blows = (self.uniform(batch, length) < rate) * torch.randn(batch, length, device=self.device) * 60
        blows = blows * (self.uniform(batch, 1) < 0.3)
        t = torch.arange(ROOM_SAMPLES, device=self.device)[None] / 16000.0
        ring = sum(
            torch.sin(2 * math.pi * (400 + 5000 * self.uniform(batch, 1)) * t) * torch.exp(-t / (0.01 + 0.08 * self.uniform(batch, 1)))
            for _ in range(3)
        )
        room = self.rooms[torch.randint(len(self.rooms), (batch,), device=self.device)]
        shape = torch.where(self.uniform(batch, 1) < 0.5, room, ring * 0.2)
        return torch.fft.irfft(torch.fft.rfft(blows, size) * torch.fft.rfft(shape, size), size)[:, :length]

    def tunes(self, batch: int, length: int) -> torch.Tensor:
        """Radio music: four voices of tones with overtones that change 2–6 times a second; unit level."""
        step = 16000 / (2 + 4 * self.uniform(batch, 1, 1))
        beats = length // 2600 + 2
        at = (torch.arange(length, device=self.device)[None, None] / step).long().clamp(max=beats - 1)
        notes = 110 * 2 ** (torch.randint(0, 36, (batch, 4, beats), device=self.device) / 12)
        louder = self.uniform(batch, 4, beats) * (self.uniform(batch, 4, beats) < 0.7)
        phase = 2 * math.pi / 16000 * torch.gather(notes, 2, at.expand(-1, 4, -1)).cumsum(2)
        since = (torch.arange(length, device=self.device)[None, None] % step) / 16000
        decay = torch.exp(-since * 8 * self.uniform(batch, 4, 1)) * torch.gather(louder, 2, at.expand(-1, 4, -1))
        overtones = sum(torch.sin(phase * k) * self.uniform(batch, 4, 1) / k for k in (1, 2, 3, 5))
        music = (overtones * decay).sum(1)
        return music / music.pow(2).mean(1, keepdim=True).sqrt().clamp_min(1e-6)

    def talkers(self, speech: torch.Tensor) -> torch.Tensor:
        """One to six other rows of the batch, each from another place; unit level."""
        batch, length = speech.shape
        together = torch.zeros_like(speech)
        for number in range(6):
            rolled = torch.roll(speech[torch.randperm(batch, device=self.device)], int(self.rng.randint(length)), 1)
            here = 1.0 if number == 0 else (self.uniform(batch, 1) < 0.6)
            together = together + rolled * here
        return together / together.pow(2).mean(1, keepdim=True).sqrt().clamp_min(1e-6)

    def __call__(self, x: torch.Tensor, lengths: torch.Tensor, start: torch.Tensor, end: torch.Tensor) -> torch.Tensor:
        """Clean speech [batch, samples] -> what a microphone might record, rounded to 16 bits."""
        batch, length = x.shape
        size = 1 << (length + ROOM_SAMPLES - 1).bit_length()
        uniform = self.uniform
        spectrum = torch.fft.rfft(x, size)
        bins = spectrum.shape[1]
        frequency = torch.linspace(0, 8000, bins, device=self.device)[None]
        room = torch.fft.rfft(self.rooms[torch.randint(len(self.rooms), (batch,), device=self.device)], size)
        spectrum = torch.where(uniform(batch, 1) < 0.5, spectrum * room, spectrum)
        equaliser = 10 ** (self.smooth_curve(batch, bins) * (uniform(batch, 1) * 6) / 20)
        high_cut = torch.where(uniform(batch, 1) < 0.25, 3300 + uniform(batch, 1) * 4000, 9000.0)
        low_cut = torch.where(uniform(batch, 1) < 0.35, 60 + uniform(batch, 1) * 340, 1.0)
        band = torch.sigmoid((high_cut - frequency) / 80) * torch.sigmoid((frequency - low_cut) / (low_cut * 0.15 + 5))
        middle, half = 200 * 2 ** (uniform(batch, 1) * 5), 40 + 360 * uniform(batch, 1)  # a gap in the band
        gap = torch.sigmoid(((frequency - middle).abs() - half) / 30)
        band = torch.where(uniform(batch, 1) < 0.2, band * (0.02 + 0.98 * gap), band)
        speech = torch.fft.irfft(spectrum * equaliser * band, size)[:, :length]
        level = (speech.pow(2).sum(1) / lengths).sqrt().clamp_min(1.0)[:, None]

        noise = self.workshop_noise(batch, length, size, frequency)
        noise = noise / noise.pow(2).mean(1, keepdim=True).sqrt().clamp_min(1e-6)
        few = max(1, batch // 4)  # music is dear to make: a quarter of the rows, dealt out at random
        music = self.tunes(few, length)[torch.randint(few, (batch,), device=self.device)]
        kind = uniform(batch, 1)
        talking = (kind >= 0.17) & (kind < 0.4)
        noise = torch.where(kind < 0.17, music + noise * uniform(batch, 1) * 0.5, noise)
        level_talkers = self.talkers(speech / level)
        noise = torch.where(talking, level_talkers + 0.2 * noise, noise)
        noise = noise / noise.pow(2).mean(1, keepdim=True).sqrt().clamp_min(1e-6)
        t = torch.arange(length, device=self.device)[None]
        around = ((t >= start[:, None] - uniform(batch, 1) * 1600) & (t < end[:, None] + uniform(batch, 1) * 3200)).float()
        gated = torch.where(uniform(batch, 1) < 0.12, 1 - around, torch.ones_like(around))
        noise = noise * torch.where(uniform(batch, 1) < 0.25, around, gated)
        # Signal-to-noise ratio in dB: mostly -6 to 24, a sixth nearly clean. Talkers stay 4 dB below, or
        # it could not be said which of them is meant.
        ratio = torch.where(uniform(batch, 1) < 0.84, uniform(batch, 1) * 30 - 6, uniform(batch, 1) * 20 + 35)
        ratio = torch.where(talking, ratio.clamp_min(0) * 0.9 + 4, ratio)
        mixed = speech / level + noise * 10 ** (-ratio / 20)

        gain = 10 ** ((-52 + uniform(batch, 1) * 44) / 20) * 32768
        mixed = mixed * gain + torch.randn_like(mixed) * 10 ** (uniform(batch, 1) * 1.6 - 0.5)
        clip = torch.where(uniform(batch, 1) < 0.08, gain * (1 + 2 * uniform(batch, 1)), torch.full_like(gain, 32767.0))
        return torch.maximum(torch.minimum(mixed, clip), -clip).round().clamp(-32768, 32767)
