"""Labels for recorded speech whose transcript is doubtful: words on which two recognisers agree.

usage: label_recordings.py IN.npz OUT.npz

IN holds a draft of the words (labels made by another recogniser). PocketSphinx (BSD) hears every piece
anew; a word that both have keeps its place, with the pronunciation PocketSphinx chose. Words on which they
differ become the garbage phone. Pieces with fewer than six in ten agreed words are left out.
"""

import difflib
import json
import re
import sys

import numpy as np
from pocketsphinx import Decoder

from phone_set import ALL_PHONES, GARBAGE, pronunciations

AGREED_SHARE_MIN = 0.6
QUIET_SAMPLES = 3200  # beside each piece: the recogniser wants some silence
# Narrower than usual: twice as fast as PocketSphinx's own beams.
SPEED = {"beam": 1e-44, "wbeam": 7e-27, "pbeam": 1e-44, "maxhmmpf": 8000}


def heard(decoder: Decoder, samples: np.ndarray, rng: np.random.RandomState) -> list[tuple[str, list[str]]]:
    """Words with their phones without stress."""
    quiet = [rng.randint(-3, 4, QUIET_SAMPLES).astype("i2") for _ in range(2)]
    decoder.start_utt()
    decoder.process_raw(np.concatenate([quiet[0], samples, quiet[1]]).tobytes(), full_utt=True)
    decoder.end_utt()
    found = [segment.word for segment in decoder.seg()] if decoder.hyp() else []
    words = [word for word in found if not word.startswith(("<", "["))]
    return [(re.sub(r"\(\d+\)$", "", word), decoder.lookup_word(word).split()) for word in words]


def with_stress(word: str, phones: list[str]) -> list[str]:
    """The pronunciation of CMUdict that sounds so, or the first."""
    options = pronunciations()[word]
    return next((one for one in options if [phone.rstrip("012") for phone in one] == phones), options[0])


def agreed(draft: list[str], found: list[tuple[str, list[str]]]) -> list[tuple[str, list[str]]] | None:
    labels = [(word, [ALL_PHONES[GARBAGE]]) for word in draft]
    matcher = difflib.SequenceMatcher(None, draft, [word for word, _ in found], autojunk=False)
    count = 0
    for a, b, size in matcher.get_matching_blocks():
        for k in range(size):
            word, phones = found[b + k]
            if word in pronunciations():
                labels[a + k] = (word, with_stress(word, phones))
                count += 1
    return labels if count >= AGREED_SHARE_MIN * len(draft) else None


def main() -> None:
    data, rng = np.load(sys.argv[1]), np.random.RandomState(0)
    decoder = Decoder(samprate=16000, loglevel="FATAL", **SPEED)
    drafts = [[word for word, _ in one] for one in json.loads(str(data["labels"]))]
    starts = np.concatenate([[0], np.cumsum(data["lens"])]).astype("i8")
    audio, labels, samples = [], [], data["audio"]
    for draft, start, end in zip(drafts, starts[:-1], starts[1:], strict=True):
        found = agreed(draft, heard(decoder, samples[start:end], rng)) if draft else None
        if found is not None:
            audio.append(samples[start:end])
            labels.append(found)
    lengths = np.array([len(one) for one in audio])
    np.savez(sys.argv[2], audio=np.concatenate(audio), lens=lengths, labels=json.dumps(labels))
    words = [phones for one in labels for _, phones in one]
    sure = sum(phones != [ALL_PHONES[GARBAGE]] for phones in words)
    print(f"{len(labels)} of {len(drafts)} pieces, {lengths.sum() / 57.6e6:.2f} h, {sure} of {len(words)} words agreed")


if __name__ == "__main__":
    main()
