"""Weights -> a complete model folder for the recogniser.

usage: make_model.py WEIGHTS.npz OUT_DIR [--words 40000] [--phone-penalty 2.4] [--entry-penalty 3.0]
                     [--garbage-penalty inf] [--silence-frame 0.2] [--word-bonus 0] [--bits 16]
"""

import argparse
from pathlib import Path

import numpy as np

from graph import Costs, build
from kaldi_format import model_bytes
from vocabulary import vocabulary

MFCC = "--use-energy=false\n--num-mel-bins=40\n--num-ceps=40\n--low-freq=20\n--high-freq=7600\n--allow-upsample=true\n--allow-downsample=true\n"
# A beam of 2 hides what is more than e^2 times less likely, so a word that has swallowed its neighbour comes at
# 1.00; with 6 the alternatives in the filler take 15 times the computing of everything else on foreign speech.
DECODER = (
    "--min-active=200\n--max-active=3000\n--beam=10.0\n--lattice-beam=4.0\n--acoustic-scale=1.0\n"
    "--frame-subsampling-factor=3\n--frames-per-chunk=5\n--endpoint.silence-phones=1\n--endpoint.rule2.min-trailing-silence=0.5\n"
    "--endpoint.rule3.min-trailing-silence=1.0\n--endpoint.rule4.min-trailing-silence=2.0\n"
    # Of a lattice while it is made deterministic, in bytes. Amid many voices everything is possible: with the usual 50 MB four
    # seconds of babble took up to 36 s of computing, and the ear is deaf meanwhile.
    "--max-mem=1000000\n"
)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("weights")
    parser.add_argument("out")
    parser.add_argument("--words", type=int, default=40_000)
    parser.add_argument("--phone-penalty", type=float, default=Costs.phone_penalty)
    parser.add_argument("--entry-penalty", type=float, default=Costs.entry_penalty)
    parser.add_argument("--garbage-penalty", type=float, default=Costs.garbage_penalty)
    parser.add_argument("--silence-frame", type=float, default=Costs.silence_frame)
    parser.add_argument("--word-bonus", type=float, default=Costs.word_bonus)
    parser.add_argument("--bits", type=int, choices=(8, 16), default=16, help="of a weight in the file")
    options = parser.parse_args()
    out = Path(options.out)
    for folder in ("am", "conf", "graph"):
        (out / folder).mkdir(parents=True, exist_ok=True)
    (out / "conf" / "mfcc.conf").write_text(MFCC)
    (out / "conf" / "model.conf").write_text(DECODER)
    data = np.load(options.weights)
    state = {name: data[name] for name in data.files}
    (out / "am" / "final.mdl").write_bytes(model_bytes(state, options.bits))
    costs = Costs(
        options.phone_penalty,
        options.entry_penalty,
        options.garbage_penalty,
        silence_frame=options.silence_frame,
        word_bonus=options.word_bonus,
    )
    build(str(out / "graph"), vocabulary(options.words), costs)


if __name__ == "__main__":
    main()
