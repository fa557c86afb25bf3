"""Decodes the material of ear-material.ts with native Vosk and compares: see README-ear.md. By hand only."""
import json
import sys
import time
import wave

from vosk import KaldiRecognizer, Model, SetLogLevel

SetLogLevel(-1)
folder, model_folder = sys.argv[1], sys.argv[2]
material = json.load(open(f"{folder}/material.json"))
model = Model(model_folder)
right = {"native": 0, "ours": 0}
differ = []
spent = 0.0
ref, hyp = [], []
errors = words = 0


def distance(a, b):
    """Levenshtein distance of two lists of words."""
    row = list(range(len(b) + 1))
    for i, x in enumerate(a, 1):
        row, old = [i], row
        for j, y in enumerate(b, 1):
            row.append(min(row[-1] + 1, old[j] + 1, old[j - 1] + (x != y)))
    return row[-1]


def same(text, said):
    """Spellings of the spelling alphabet differ between the dictionary and the phrase."""
    alike = {"alfa": "alpha", "juliett": "juliet"}
    return [alike.get(w, w) for w in text.split()] == [alike.get(w, w) for w in said.split()]


for number, one in enumerate(material):
    sound = wave.open(f"{folder}/{one['file']}")
    data = sound.readframes(sound.getnframes())
    recogniser = KaldiRecognizer(model, 16000, json.dumps(one["grammar"]))
    texts = []
    begun = time.process_time()
    for at in range(0, len(data), 1280):  # 40 ms, as the listener gives them
        if recogniser.AcceptWaveform(data[at : at + 1280]):
            texts.append(json.loads(recogniser.Result())["text"])
    texts.append(json.loads(recogniser.FinalResult())["text"])
    spent += time.process_time() - begun
    native = " ".join(text for text in texts if text)
    right["native"] += same(native, one["said"])
    right["ours"] += same(one["ours"], one["said"])
    if native != one["ours"]:
        differ.append((one["voice"], one["said"], native, one["ours"]))
    errors += distance(one["said"].split(), native.split())
    words += len(one["said"].split())
    ref.append(f"{one['said']} (v-{number})")
    hyp.append(f"{native} (v-{number})")

open(f"{folder}/ref.trn", "w").write("\n".join(ref) + "\n")
open(f"{folder}/hyp.trn", "w").write("\n".join(hyp) + "\n")
audio = sum(one["audioMs"] for one in material) / 1000
ours = sum(one["computeMs"] for one in material) / 1000
for line in differ:
    print("differs:", *line, sep=" | ")
print(f"{len(material)} recordings; right: native {right['native']}, ours {right['ours']}; texts that differ {len(differ)}")
print(f"real-time factor: native {spent / audio:.3f}, ours {ours / audio:.3f} (silence gated), ratio {ours / spent:.2f}")
print(f"word error rate of the native texts: {100 * errors / words:.2f} %")
