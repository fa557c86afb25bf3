"""Measures model folders with the native recogniser: right, rejected and wrong, clean and in noise.

usage: evaluate.py [--part report|tune] [--cache DIR] [--talk NUMBER] MODEL_DIR [MODEL_DIR ...]

Material (Debian packages; nothing of it is committed): commands spoken by voices the training never
heard (pico, festival), real recorded digits and letters of the telephone prompts in
`asterisk-core-sounds-en-wav`, and its longer prompts as talk that must not be taken for a command.
Phrases 2, 4, 6… of the list are for reporting, the others for tuning. A hit is the exact whole
phrase; anything with [unk] in it is a rejection. All models hear the same files in the same noise.
"""

import argparse
import glob
import json
import os
import subprocess
import tempfile
import time

import numpy as np
import soundfile
from scipy.signal import resample_poly

from vocabulary import COMMANDS, DIGITS, SPELLING

UNHEARD_VOICES = ("pico:en-US", "pico:en-GB", "ked_diphone")
PROMPTS = "/usr/share/asterisk/sounds/en_US_f_Allison"
CONDITIONS = [("clean", None), ("workshop", 20), ("workshop", 10), ("workshop", 5), ("babble", 20), ("babble", 10)]


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


def babble(count: int, rng: np.random.RandomState, prompts: list[np.ndarray]) -> np.ndarray:
    """Four talkers at once; standard deviation 1."""
    together = np.zeros(count)
    for _ in range(4):
        one = prompts[rng.randint(len(prompts))]
        together += np.resize(np.roll(one, rng.randint(len(one))), count) / one.std()
    return together / together.std()


def prepared(samples: np.ndarray, noise: np.ndarray | None, snr_db: float) -> bytes:
    """Peak 0.3, 0.3 s before and 0.6 s after, noise at the given ratio to the speech's active level."""
    samples = samples / max(np.abs(samples).max(), 1e-6) * 0.3
    active = samples[np.abs(samples) > 0.02].std()
    padded = np.concatenate([np.zeros(5000), samples, np.zeros(9600)])
    padded = padded + noise[: len(padded)] * active * 10 ** (-snr_db / 20)
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
    if n == 0:
        return "-"
    centre = (hits + z * z / 2) / (n + z * z)
    half = z / (n + z * z) * (hits * (n - hits) / n + z * z / 4) ** 0.5
    return f"{hits / n:.3f} [{centre - half:.3f}, {centre + half:.3f}]"


def spoken_phrases(phrases: list[str], cache: str) -> dict[str, list[tuple[str, np.ndarray]]]:
    os.makedirs(cache, exist_ok=True)

    def sound(voice: str, phrase: str) -> np.ndarray:
        path = f"{cache}/{voice.replace(':', '-')}-{phrase.replace(' ', '_')}.npy"
        if not os.path.exists(path):
            np.save(path, speak(voice, phrase))
        return np.load(path)

    return {voice: [(phrase, sound(voice, phrase)) for phrase in phrases] for voice in UNHEARD_VOICES}


class Count:
    def __init__(self) -> None:
        self.n = self.right = self.rejected = 0
        self.wrong: list[str] = []

    def add(self, phrase: str, text: str) -> None:
        self.n += 1
        self.right += text == phrase
        if text != phrase:
            if not text or "[unk]" in text:
                self.rejected += 1
            else:
                self.wrong.append(f"{phrase} > {text}")

    def __str__(self) -> str:
        return f"right {self.right}/{self.n} = {wilson(self.right, self.n)} rejected {self.rejected} wrong {len(self.wrong)} {self.wrong[:4]}"


def main() -> None:
    from vosk import Model, SetLogLevel

    SetLogLevel(-1)
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("models", nargs="+")
    parser.add_argument("--part", choices=("report", "tune"), default="report")
    parser.add_argument("--cache", default=f"{tempfile.gettempdir()}/evaluation-voices")
    parser.add_argument("--talk", type=int, default=10**6, help="at most so many prompts of foreign speech")
    options = parser.parse_args()
    first = 1 if options.part == "report" else 0
    spoken = spoken_phrases(COMMANDS[first::2], options.cache)
    recorded = recorded_words()
    word_grammar = sorted({word for word, _ in recorded} | set(DIGITS))
    prompts = talk()
    sets = [*((voice, items, COMMANDS) for voice, items in spoken.items()), ("recorded words", recorded, word_grammar)]
    models = {folder: Model(folder) for folder in options.models}
    for kind, snr in CONDITIONS:
        for name, items, grammar in sets:
            counts = {folder: Count() for folder in models}
            rng = np.random.RandomState(1)
            for phrase, samples in items:
                length = len(samples) + 14600
                noise = babble(length, rng, prompts) if kind == "babble" else workshop_noise(length, rng)
                audio = prepared(samples, noise, 50 if snr is None else snr)
                for folder, model in models.items():
                    counts[folder].add(phrase, hear(model, grammar, audio))
            for folder, count in counts.items():
                print(f"{kind:>8} {snr or '':>3} {name:>15} {folder}: {count}", flush=True)
    for folder, model in models.items():
        rng, accepts, seconds, busy = np.random.RandomState(2), [], 0.0, time.process_time()
        for samples in prompts[: options.talk]:
            text = hear(model, COMMANDS, prepared(samples, workshop_noise(len(samples) + 14600, rng), 50))
            seconds += len(samples) / 16000
            if text and "[unk]" not in text:
                accepts.append(text)
        busy = time.process_time() - busy
        print(
            f"talk {folder}: {seconds / 3600:.2f} h, false accepts {len(accepts)} = {len(accepts) / seconds * 3600:.1f} an hour "
            f"{accepts[:6]}, {busy / seconds:.3f} core seconds a second",
            flush=True,
        )


if __name__ == "__main__":
    main()
