"""Training speech from the small synthesisers of Debian (espeak-ng, flite), for variety.

usage: formant_speech.py TEXT.jsonl OUT.npz COUNT

Takes the last COUNT texts, which `speech.py` reaches last. pico (libttspico) and festival are left
out on purpose: the evaluation uses them as voices the network has never heard.
"""

import io
import json
import random
import subprocess
import sys
import tempfile

import numpy as np
import soundfile
from scipy.signal import resample_poly

from speech import SECONDS_MAX, trimmed

ESPEAK_VOICES = ["en-us", "en-us", "en-gb", "en-gb-scotland", "en-029", "en-gb-x-rp", "en-gb-x-gbclan"]
ESPEAK_VARIANTS = ["", *(f"+m{n}" for n in range(1, 8)), *(f"+f{n}" for n in range(1, 6)), "+Andy", "+Annie", "+Alan", "+linda"]
FLITE_VOICES = ["kal16", "awb", "rms", "slt"]


def spoken(text: str, choose: random.Random) -> tuple[np.ndarray, int]:
    if choose.random() < 0.5:
        voice = choose.choice(ESPEAK_VOICES) + choose.choice(ESPEAK_VARIANTS)
        speed, pitch = choose.randint(120, 210), choose.randint(20, 80)
        command = ["espeak-ng", "-v", voice, "-s", str(speed), "-p", str(pitch), "--stdout", text]
        return soundfile.read(io.BytesIO(subprocess.run(command, capture_output=True, check=True).stdout), dtype="float32")
    with tempfile.NamedTemporaryFile(suffix=".wav") as out:
        stretch = f"duration_stretch={choose.uniform(0.8, 1.3):.2f}"
        command = ["flite", "-voice", choose.choice(FLITE_VOICES), "--setf", stretch, "-t", text, "-o", out.name]
        subprocess.run(command, capture_output=True, check=True)
        return soundfile.read(out.name, dtype="float32")


def main() -> None:
    lines = [line for line in open(sys.argv[1], encoding="utf-8").read().split("\n") if line][-int(sys.argv[3]) :]
    choose, audio, labels = random.Random(7), [], []
    for line in lines:
        words = json.loads(line)
        samples, rate = spoken(" ".join(word for word, _ in words), choose)
        divisor = int(np.gcd(rate, 16000))
        samples = resample_poly(samples, 16000 // divisor, rate // divisor)
        samples = trimmed(samples / max(float(np.abs(samples).max()), 1e-6), choose)
        if samples is not None and len(samples) < SECONDS_MAX * 16000:
            audio.append(samples)
            labels.append(words)
    np.savez(sys.argv[2], audio=np.concatenate(audio), lens=np.array([len(a) for a in audio]), labels=json.dumps(labels))
    print(f"{len(audio)} utterances, {sum(map(len, audio)) / 57.6e6:.2f} h")


if __name__ == "__main__":
    main()
