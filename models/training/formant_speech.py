"""Training speech from the small synthesisers of Debian (espeak-ng, flite), for variety.

usage: formant_speech.py TEXT.jsonl OUT_DIR COUNT PROCESSES [SECONDS [SEED]]

Takes the last COUNT texts, which `speech.py` reaches last, and writes OUT_DIR/f_<process>.npz. pico
(libttspico) and festival are left out on purpose: the evaluation uses them as voices the network has
never heard. Voices, speed and pitch are drawn anew for every text.
"""

import io
import json
import multiprocessing
import os
import random
import subprocess
import sys
import tempfile
import time

import numpy as np
import soundfile
from scipy.signal import resample_poly

from phone_set import without_r
from speech import SECONDS_MAX, trimmed

ESPEAK_VOICES = ["en-us", "en-us", "en-gb", "en-gb-scotland", "en-029", "en-gb-x-rp", "en-gb-x-gbclan", "en-gb-x-gbcwmd"]
ESPEAK_WITH_R = ("en-us", "en-gb-scotland")
ESPEAK_VARIANTS = ["", *(f"+m{n}" for n in range(1, 9)), *(f"+f{n}" for n in range(1, 6)), "+Andy", "+Annie", "+Alan", "+linda"]
FLITE_VOICES = ["kal", "kal16", "awb", "rms", "slt"]
ESPEAK_SHARE = 0.6


def spoken(text: str, choose: random.Random) -> tuple[np.ndarray, int, bool]:
    """Samples, their rate, and whether "r" is said where it is written."""
    if choose.random() < ESPEAK_SHARE:
        voice = choose.choice(ESPEAK_VOICES)
        name, speed, pitch = voice + choose.choice(ESPEAK_VARIANTS), choose.randint(110, 220), choose.randint(15, 85)
        command = ["espeak-ng", "-v", name, "-s", str(speed), "-p", str(pitch), "--stdout", text]
        made = subprocess.run(command, capture_output=True, check=True).stdout
        return *soundfile.read(io.BytesIO(made), dtype="float32"), voice in ESPEAK_WITH_R
    with tempfile.NamedTemporaryFile(suffix=".wav") as out:
        settings = ["--setf", f"duration_stretch={choose.uniform(0.75, 1.45):.2f}"]
        if choose.random() < 0.5:
            settings += ["--setf", f"int_f0_target_mean={choose.uniform(80, 220):.0f}"]
        command = ["flite", "-voice", choose.choice(FLITE_VOICES), *settings, "-t", text, "-o", out.name]
        subprocess.run(command, capture_output=True, check=True)
        return *soundfile.read(out.name, dtype="float32"), True


def speak(worker: int, lines: list[str], out: str, seconds: float, seed: int) -> None:
    choose, audio, labels, started = random.Random(1000 * seed + 70 + worker), [], [], time.time()
    for line in lines:
        if time.time() - started > seconds:
            break
        words = json.loads(line)
        samples, rate, with_r = spoken(" ".join(word for word, _ in words), choose)
        divisor = int(np.gcd(rate, 16000))
        samples = resample_poly(samples, 16000 // divisor, rate // divisor)
        samples = trimmed(samples / max(float(np.abs(samples).max(initial=0.0)), 1e-6), choose)
        if samples is not None and len(samples) < SECONDS_MAX * 16000:
            audio.append(samples)
            labels.append(words if with_r else [(word, without_r(phones)) for word, phones in words])
    path = f"{out}/f_{worker}.npz"
    np.savez(f"{path}.tmp.npz", audio=np.concatenate(audio), lens=np.array([len(a) for a in audio]), labels=json.dumps(labels))
    os.replace(f"{path}.tmp.npz", path)
    print(f"process {worker}: {len(audio)} utterances, {sum(map(len, audio)) / 57.6e6:.2f} h", flush=True)


def main() -> None:
    text, out, count, workers = *sys.argv[1:3], int(sys.argv[3]), int(sys.argv[4])
    seconds = float(sys.argv[5]) if len(sys.argv) > 5 else float("inf")
    seed = int(sys.argv[6]) if len(sys.argv) > 6 else 0
    lines = [line for line in open(text, encoding="utf-8").read().split("\n") if line][-count:]
    os.makedirs(out, exist_ok=True)
    processes = [
        multiprocessing.Process(target=speak, args=(n, lines[n::workers], out, seconds, seed)) for n in range(workers)
    ]
    for process in processes:
        process.start()
    for process in processes:
        process.join()


if __name__ == "__main__":
    main()
