"""Opus speech packs (NAME.ogg with NAME.json: lengths and labels) -> NAME.npz for training.

usage: unpack_speech.py PACK_DIR OUT_DIR NAME [NAME ...]
"""

import json
import sys

import numpy as np
import soundfile

for name in sys.argv[3:]:
    audio, rate = soundfile.read(f"{sys.argv[1]}/{name}.ogg", dtype="int16")
    assert rate == 16000, f"{name}: expected 16 kHz, found {rate}"
    about = json.load(open(f"{sys.argv[1]}/{name}.json", encoding="utf-8"))
    total = sum(about["lens"])
    audio = audio[:total] if len(audio) >= total else np.pad(audio, (0, total - len(audio)))
    np.savez(f"{sys.argv[2]}/{name}.npz", audio=audio, lens=np.array(about["lens"]), labels=json.dumps(about["labels"]))
    print(name, f"{len(about['lens'])} utterances, {total / 57.6e6:.2f} h")
