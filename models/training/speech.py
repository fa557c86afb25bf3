"""Synthetic training speech with mixed voices and speeds (Kokoro-82M, Apache-2.0).

usage: speech.py SYNTHESISER_DIR TEXT.jsonl OUT_DIR PROCESSES SECONDS [DEVICE,DEVICE... [SEED]]

SYNTHESISER_DIR holds kokoro.onnx, vocab.json and voices/*.bin (or voices.npz). Each process writes
OUT_DIR/k_<process>_<number>.npz: 16-bit 16 kHz audio end to end, the lengths, and the labels. Two
voices are blended for the sound and a third for the melody, so that there are far more speakers
than the 54 that come with the synthesiser. Several texts are spoken in one run and cut apart by the
synthesiser's own durations: a GPU is then busy with sound and not with starting operators.
"""

import glob
import json
import multiprocessing
import os
import random
import sys
import time

import numpy as np

from phone_set import synthesiser_word, without_r

UTTERANCES_PER_FILE = 400
SECONDS_MAX = 9.0
PHONEMES_MAX = 480  # of one run; the synthesiser takes 510
ENGLISH_SHARE = 0.7
BRITISH_SHARE = 0.33  # of the texts, spoken without "r" and mostly by British voices
SPEEDS = [0.6, 0.7, 0.8, 0.85, 0.9, 1.0, 1.1, 1.2]


def load_voices(folder: str) -> dict[str, np.ndarray]:
    if os.path.exists(f"{folder}/voices.npz"):
        kept = np.load(f"{folder}/voices.npz")
        return {name: kept[name].astype("f4").reshape(-1, 256) for name in kept.files}
    return {
        os.path.basename(path)[:-4]: np.fromfile(path, "<f4").reshape(-1, 256)
        for path in sorted(glob.glob(f"{folder}/voices/*.bin"))
    }


def mixed_style(voices: dict[str, np.ndarray], choose: random.Random, length: int, british: bool) -> np.ndarray:
    """One style vector: sound blended from two voices, melody from these and a third."""
    english = [name for name in voices if name[0] == ("b" if british else "a")]
    other = [name for name in voices if name[0] not in "ab"] or english
    first, second, third = (
        voices[choose.choice(english if choose.random() < ENGLISH_SHARE else other)] for _ in range(3)
    )
    row = min(max(length + choose.randint(-3, 30), 0), len(first) - 1)
    blend = choose.choice([0.0, choose.random(), choose.random(), -0.2])
    melody = choose.random() if choose.random() < 0.5 else 0.0
    style = (1 - blend) * first[row] + blend * second[row]
    style[128:] = (1 - melody) * style[128:] + melody * third[row, 128:]
    return style[None].astype("f4")


def trimmed(samples: np.ndarray, choose: random.Random) -> np.ndarray | None:
    """16-bit samples with 50–350 ms before and 100–400 ms after the speech, or nothing if it is silent.

    One in five is clipped: what is softer than 5 % of the peak is missing at both ends.
    """
    peak = float(np.abs(samples).max(initial=0.0))
    if not np.isfinite(peak) or peak < 0.02:
        return None
    loud = np.flatnonzero(np.abs(samples) > 0.01 * peak)
    before, after = int(choose.uniform(0.05, 0.35) * 16000), int(choose.uniform(0.1, 0.4) * 16000)
    if choose.random() < 0.2:
        loud = np.flatnonzero(np.abs(samples) > 0.05 * peak)
        samples = np.pad(samples[loud[0] : loud[-1] + 1], (before, after))
    else:
        samples = samples[max(0, loud[0] - before) : loud[-1] + after]
    return (samples / max(peak, 0.3) * 0.6 * 32767).astype("i2")


def phonemes(words, letters: dict[str, int], choose: random.Random, british: bool) -> list[int]:
    """The synthesiser's numbers for one utterance, closing mark and space included."""
    spoken = [synthesiser_word(phones, british) for _, phones in words]
    pauses, kind = frozenset(), choose.random()
    if kind < 0.05:
        pauses = frozenset(range(len(spoken) - 1))
    elif kind < 0.25 and len(spoken) > 1:
        pauses = frozenset([choose.randrange(len(spoken) - 1)])
    text = " ".join(f"{word}," if number in pauses else word for number, word in enumerate(spoken))
    return [letters[c] for c in text + choose.choice("....!?") + " " if c in letters]


def groups(lines: list[str], letters: dict[str, int], choose: random.Random):
    """Texts of one run: ([words, ...], [numbers of each, ...], whether they are spoken the British way)."""

    def begin():
        return [], [], choose.choice([120, 240, PHONEMES_MAX]), choose.random() < BRITISH_SHARE

    said, numbers, most, british = begin()
    for line in lines:
        words = json.loads(line)
        ids = phonemes(words, letters, choose, british)
        if numbers and sum(map(len, numbers)) + len(ids) > most:
            yield said, numbers, british
            said, numbers, most, british = begin()
            ids = phonemes(words, letters, choose, british)
        if len(ids) < 200:
            said.append([(word, without_r(phones)) for word, phones in words] if british else words)
            numbers.append(ids)
    if numbers:
        yield said, numbers, british


def cut(audio: np.ndarray, durations: np.ndarray, numbers: list[list[int]], samples_a_frame: int) -> list[np.ndarray]:
    """The sound of each text. A cut lies in the space that follows a closing mark."""
    ends = np.cumsum(durations)
    assert len(ends) == sum(map(len, numbers)) + 2
    pieces, at, place = [], 0, 1
    for ids in numbers:
        place += len(ids)
        space = ends[place - 2], ends[place - 1]
        end = int((space[0] + space[1]) / 2 * samples_a_frame)
        pieces.append(audio[at:end])
        at = end
    return pieces


def believable(samples: np.ndarray | None, words) -> bool:
    """Not silent, not endless: a run that went wrong repeats or drawls."""
    if samples is None or not 0.15 * 16000 < len(samples) < SECONDS_MAX * 16000:
        return False
    phones = sum(len(phones) for _, phones in words)
    seconds = len(samples) / 16000
    return seconds / phones > 0.045 and (phones <= 4 or seconds / phones < 0.6)


def speak(worker: int, workers: int, folder: str, text: str, out: str, seconds: float, device: str, seed: int) -> None:
    import torch
    from scipy.signal import resample_poly

    from synthesiser import SAMPLES_A_FRAME, Synthesiser

    torch.set_num_threads(1)
    torch.backends.cuda.matmul.allow_tf32 = torch.backends.cudnn.allow_tf32 = True
    started = time.time()
    torch.manual_seed(1000 * seed + worker)
    letters = json.load(open(f"{folder}/vocab.json", encoding="utf-8"))
    letters = letters.get("vocab", letters)
    synthesiser = Synthesiser(f"{folder}/kokoro.onnx", device)
    voices, choose = load_voices(folder), random.Random(1000 * (seed + 1) + worker)
    lines = [line for line in open(text, encoding="utf-8").read().split("\n") if line][worker::workers]
    audio, labels, files, total, refused = [], [], 0, 0, 0

    def flush() -> None:
        nonlocal audio, labels, files
        if not audio:
            return
        path = f"{out}/k_{worker}_{files}.npz"
        np.savez(
            f"{path}.tmp.npz", audio=np.concatenate(audio), lens=np.array([len(a) for a in audio]), labels=json.dumps(labels)
        )
        os.rename(f"{path}.tmp.npz", path)
        audio, labels, files = [], [], files + 1

    for said, numbers, british in groups(lines, letters, choose):
        if time.time() - started > seconds:
            break
        ids = [0, *(i for one in numbers for i in one), 0]
        # A style of the length of one text or of all: they differ in melody.
        length = choose.choice([len(ids) - 2, len(choose.choice(numbers))])
        speed = choose.choice(SPEEDS) + choose.uniform(-0.05, 0.05)
        sound, durations = synthesiser(ids, mixed_style(voices, choose, length, british), speed)
        sound = resample_poly(sound, 2, 3).astype("f4")
        for words, piece in zip(said, cut(sound, durations, numbers, SAMPLES_A_FRAME * 2 // 3), strict=True):
            samples = trimmed(piece, choose)
            if not believable(samples, words):
                refused += 1
                continue
            audio.append(samples)
            labels.append(words)
            total += len(samples)
        if len(audio) >= UTTERANCES_PER_FILE:
            flush()
    flush()
    print(f"process {worker}: {total / 57.6e6:.2f} h in {time.time() - started:.0f} s, {refused} refused", flush=True)


def main() -> None:
    folder, text, out, workers, seconds = *sys.argv[1:4], int(sys.argv[4]), float(sys.argv[5])
    devices = sys.argv[6].split(",") if len(sys.argv) > 6 else ["cpu"]
    seed = int(sys.argv[7]) if len(sys.argv) > 7 else 0
    os.makedirs(out, exist_ok=True)
    context = multiprocessing.get_context("spawn")
    processes = [
        context.Process(target=speak, args=(n, workers, folder, text, out, seconds, devices[n % len(devices)], seed))
        for n in range(workers)
    ]
    for process in processes:
        process.start()
    for process in processes:
        process.join()


if __name__ == "__main__":
    main()
