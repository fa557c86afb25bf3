"""Synthetic training speech with mixed voices and speeds (Kokoro-82M, Apache-2.0, through ONNX Runtime).

usage: speech.py SYNTHESISER_DIR TEXT.jsonl OUT_DIR PROCESSES SECONDS

SYNTHESISER_DIR holds kokoro.onnx, vocab.json and voices/*.bin. Each process writes
OUT_DIR/k_<process>_<number>.npz: 16-bit 16 kHz audio end to end, the lengths, and the labels. Two
voices are blended for the sound and a third for the melody, so that there are far more speakers
than the 54 that come with the synthesiser.
"""

import glob
import json
import multiprocessing
import os
import random
import sys
import time

import numpy as np

from phone_set import synthesiser_word

UTTERANCES_PER_FILE = 40
SECONDS_MAX = 9.0
ENGLISH_SHARE = 0.7


def load_voices(folder: str) -> dict[str, np.ndarray]:
    return {
        os.path.basename(path)[:-4]: np.fromfile(path, "<f4").reshape(-1, 256)
        for path in sorted(glob.glob(f"{folder}/voices/*.bin"))
    }


def mixed_style(voices: dict[str, np.ndarray], choose: random.Random, length: int) -> np.ndarray:
    """One style vector: sound blended from two voices, melody from these and a third."""
    english = [name for name in voices if name[0] in "ab"]
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
    """16-bit samples with 50–350 ms before and 100–400 ms after the speech, or nothing if it is silent."""
    peak = float(np.abs(samples).max(initial=0.0))
    if not np.isfinite(peak) or peak < 0.02:
        return None
    loud = np.flatnonzero(np.abs(samples) > 0.01 * peak)
    before, after = int(choose.uniform(0.05, 0.35) * 16000), int(choose.uniform(0.1, 0.4) * 16000)
    samples = samples[max(0, loud[0] - before) : loud[-1] + after]
    return (samples / max(peak, 0.3) * 0.6 * 32767).astype("i2")


def speak(worker: int, workers: int, folder: str, text: str, out: str, seconds: float) -> None:
    import onnxruntime
    from scipy.signal import resample_poly

    started = time.time()
    letters = json.load(open(f"{folder}/vocab.json", encoding="utf-8"))
    letters = letters.get("vocab", letters)
    options = onnxruntime.SessionOptions()
    options.intra_op_num_threads = options.inter_op_num_threads = 1
    session = onnxruntime.InferenceSession(f"{folder}/kokoro.onnx", options, providers=["CPUExecutionProvider"])
    voices, choose = load_voices(folder), random.Random(1000 + worker)
    lines = [line for line in open(text, encoding="utf-8").read().split("\n") if line][worker::workers]
    audio, labels, files, total = [], [], 0, 0

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

    for line in lines:
        if time.time() - started > seconds:
            break
        words = json.loads(line)
        spoken = [synthesiser_word(phones) for _, phones in words]
        pause = choose.randrange(1, len(spoken)) if len(spoken) > 1 and choose.random() < 0.35 else None
        phonemes = " ".join(f"{w}," if pause is not None and i == pause - 1 else w for i, w in enumerate(spoken))
        phonemes += choose.choice([".", ".", ".", "!", "?", ""])
        ids = [0, *(letters[c] for c in phonemes if c in letters), 0]
        if len(ids) > 200:
            continue
        speed = choose.choice([0.8, 0.9, 1.0, 1.0, 1.1, 1.2, 1.35]) + choose.uniform(-0.05, 0.05)
        feed = {
            "tokens": np.array([ids], "i8"),
            "style": mixed_style(voices, choose, len(ids) - 2),
            "speed": np.array([speed], "f4"),
        }
        samples = trimmed(resample_poly(session.run(None, feed)[0].ravel(), 2, 3).astype("f4"), choose)
        phone_count = sum(len(phones) for _, phones in words)
        too_long = samples is not None and len(samples) > SECONDS_MAX * 16000
        if samples is None or too_long or (phone_count > 4 and len(samples) / 16000 / phone_count > 0.6):
            continue
        audio.append(samples)
        labels.append(words)
        total += len(samples)
        if len(audio) >= UTTERANCES_PER_FILE:
            flush()
    flush()
    print(f"process {worker}: {total / 57.6e6:.2f} h in {time.time() - started:.0f} s", flush=True)


def main() -> None:
    folder, text, out, workers, seconds = *sys.argv[1:4], int(sys.argv[4]), float(sys.argv[5])
    os.makedirs(out, exist_ok=True)
    processes = [
        multiprocessing.Process(target=speak, args=(n, workers, folder, text, out, seconds)) for n in range(workers)
    ]
    for process in processes:
        process.start()
    for process in processes:
        process.join()


if __name__ == "__main__":
    main()
