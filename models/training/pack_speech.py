"""Training files (*.npz) -> one Opus pack that travels well.

usage: pack_speech.py OUT_PREFIX FILE.npz [FILE.npz ...]
"""

import json
import sys

import numpy as np
import soundfile

audio, lengths, labels = [], [], []
for path in sys.argv[2:]:
    data = np.load(path)
    audio.append(data["audio"])
    lengths += data["lens"].tolist()
    labels += json.loads(str(data["labels"]))
samples = np.concatenate(audio)
soundfile.write(f"{sys.argv[1]}.ogg", samples.astype("f4") / 32768, 16000, format="OGG", subtype="OPUS", compression_level=0.94)
json.dump({"lens": lengths, "labels": labels}, open(f"{sys.argv[1]}.json", "w", encoding="utf-8"))
print(f"{len(lengths)} utterances, {len(samples) / 57.6e6:.2f} h")
