"""Measures a model folder with the native recogniser: right, rejected and wrong, clean and in noise.

usage: evaluate.py MODEL_DIR [MODEL_DIR ...]

Material (Debian packages; nothing of it is committed): commands, numbers and spelling spoken by
voices the training never heard (pico, festival), real recorded digits and letters of the telephone
prompts in `asterisk-core-sounds-en-wav`, and its longer prompts as talk that must not be taken for
a command. Every second phrase of a list is for tuning, the others for reporting; the tables show
the reporting half. A hit is the exact whole phrase; anything with [unk] in it is a rejection.
"""

import glob
import json
import os
import subprocess
import sys
import tempfile
import time

import numpy as np
import soundfile
from scipy.signal import resample_poly

from vocabulary import COMMANDS, DIGITS, SPELLING

PROMPTS = "/usr/share/asterisk/sounds/en_US_f_Allison"
NOISE_LEVELS = (None, 20, 10, 5)


def workshop_noise(count: int, rng: np.random.RandomState) -> np.ndarray:
    """Pink noise with the harmonics of a 119 Hz fan and a few impacts; standard deviation 1 without impacts."""
    spectrum = np.fft.rfft(rng.randn(count))
    frequency = np.arange(len(spectrum)) / count * 16000
    spectrum *= 1 / np.sqrt(np.maximum(frequency, 50))
    for harmonic in range(1, 12):
        at = int(harmonic * 119 * count / 16000)
        spectrum[max(0, at - 1) : at + 2] *= 25
    hum = np.fft.irfft(spectrum, count)
    blows = (rng.rand(count) < 3 / 16000) * rng.randn(count) * 40
    ring = np.exp(-np.arange(800) / 120) * np.sin(np.arange(800) * 0.9)
    return hum / hum.std() + 0.5 * np.convolve(blows, ring, "same")


def read(path: str) -> np.ndarray:
    samples, rate = soundfile.read(path)
    samples = samples if samples.ndim == 1 else samples.mean(1)
    divisor = int(np.gcd(rate, 16000))
    return resample_poly(samples, 16000 // divisor, rate // divisor)


def speak(voice: str, text: str) -> np.ndarray:
    with tempfile.NamedTemporaryFile(suffix=".wav") as out:
        if voice.startswith("pico"):
            language = voice.split(":")[1]
            subprocess.run(["pico2wave", "-l", language, "-w", out.name, text], check=True)
        else:
            command = ["text2wave", "-eval", f"(voice_{voice})", "-o", out.name]
            subprocess.run(command, input=text.encode(), check=True, capture_output=True)
        return read(out.name)


def prepared(samples: np.ndarray, snr_db: float | None, rng: np.random.RandomState) -> bytes:
    """Peak 0.3, 0.3 s before and 0.6 s after, noise at the given ratio to the speech's active level."""
    samples = samples / max(np.abs(samples).max(), 1e-6) * 0.3
    active = samples[np.abs(samples) > 0.02].std()
    padded = np.concatenate([np.zeros(5000), samples, np.zeros(9600)])
    noise = workshop_noise(len(padded), rng)
    padded = padded + noise * active * 10 ** (-(50 if snr_db is None else snr_db) / 20)
    return (np.clip(padded, -1, 1) * 32767).astype("<i2").tobytes()


def hear(model, grammar: list[str], audio: bytes) -> str:
    from vosk import KaldiRecognizer

    recogniser, texts = KaldiRecognizer(model, 16000, json.dumps([*grammar, "[unk]"])), []
    for start in range(0, len(audio), 8000):
        if recogniser.AcceptWaveform(audio[start : start + 8000]):
            texts.append(json.loads(recogniser.Result())["text"])
    texts.append(json.loads(recogniser.FinalResult())["text"])
    return " ".join(text for text in texts if text)


def recorded_words() -> list[tuple[str, np.ndarray]]:
    """Digits, numbers and letters as recorded for telephone systems by one speaker."""
    names = dict(enumerate("zero one two three four five six seven eight nine ten eleven twelve thirteen fourteen fifteen sixteen seventeen eighteen nineteen twenty".split()))
    names |= {30: "thirty", 40: "forty", 50: "fifty", 60: "sixty", 70: "seventy", 80: "eighty", 90: "ninety"}
    found = [(word, f"{PROMPTS}/digits/{number}.wav") for number, word in names.items()]
    found += [(word, f"{PROMPTS}/phonetic/{word[0]}_p.wav") for word in SPELLING if word not in ("alfa", "juliett", "x-ray", "xray", "whisky", "niner")]
    return [(word, read(path)) for word, path in found if os.path.exists(path)]


def talk() -> list[np.ndarray]:
    """The longer prompts, 3 s and more: speech that is no command."""
    clips = [read(path) for path in sorted(glob.glob(f"{PROMPTS}/*.wav"))]
    return [clip for clip in clips if len(clip) > 3 * 16000]


def wilson(hits: int, n: int, z: float = 1.959964) -> str:
    centre = (hits + z * z / 2) / (n + z * z)
    half = z / (n + z * z) * (hits * (n - hits) / n + z * z / 4) ** 0.5
    return f"{hits / n:.3f} [{centre - half:.3f}, {centre + half:.3f}]"


def main() -> None:
    from vosk import Model, SetLogLevel

    SetLogLevel(-1)
    commands = COMMANDS[1::2]
    spoken = {
        voice: [(phrase, speak(voice, phrase)) for phrase in commands]
        for voice in ("pico:en-US", "pico:en-GB", "ked_diphone")
    }
    recorded = recorded_words()
    word_grammar = sorted({word for word, _ in recorded} | set(DIGITS))
    prompts = talk()
    for folder in sys.argv[1:]:
        started = time.time()
        model = Model(folder)
        print(f"## {folder}: loaded in {time.time() - started:.2f} s")
        for snr in NOISE_LEVELS:
            label = "clean" if snr is None else f"{snr} dB"
            for name, items, grammar in [*((v, i, COMMANDS) for v, i in spoken.items()), ("recorded words", recorded, word_grammar)]:
                rng, right, rejected, wrong = np.random.RandomState(1), 0, 0, []
                for phrase, samples in items:
                    text = hear(model, grammar, prepared(samples, snr, rng))
                    right += text == phrase
                    rejected += text != phrase and ("[unk]" in text or not text)
                    if text != phrase and text and "[unk]" not in text:
                        wrong.append(f"{phrase} > {text}")
                print(f"{label:>6} {name:>15} n={len(items)} right {wilson(right, len(items))} rejected {rejected} wrong {len(wrong)} {wrong[:4]}")
        rng, accepts, seconds, busy = np.random.RandomState(2), [], 0.0, time.time()
        for samples in prompts:
            text = hear(model, COMMANDS, prepared(samples, None, rng))
            seconds += len(samples) / 16000
            if text and "[unk]" not in text:
                accepts.append(text)
        busy = time.time() - busy
        print(f"talk: {seconds / 3600:.2f} h, false accepts {len(accepts)} = {len(accepts) / seconds * 3600:.1f} an hour {accepts[:6]}, speed {busy / seconds:.3f} of real time\n")


if __name__ == "__main__":
    main()
