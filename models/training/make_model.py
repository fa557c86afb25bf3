"""Weights -> a complete model folder for the recogniser.

usage: make_model.py WEIGHTS.npz OUT_DIR [--words 40000] [--phone-penalty 2.0] [--entry-penalty 3.0]
                     [--garbage-penalty inf] [--bits 16]
"""

import argparse
from pathlib import Path

import numpy as np

from graph import Filler, build
from kaldi_format import model_bytes
from vocabulary import vocabulary

MFCC = "--use-energy=false\n--num-mel-bins=40\n--num-ceps=40\n--low-freq=20\n--high-freq=7600\n--allow-upsample=true\n--allow-downsample=true\n"
DECODER = (
    "--min-active=200\n--max-active=3000\n--beam=10.0\n--lattice-beam=2.0\n--acoustic-scale=1.0\n"
    "--frame-subsampling-factor=3\n--frames-per-chunk=5\n--endpoint.silence-phones=1\n--endpoint.rule2.min-trailing-silence=0.5\n"
    "--endpoint.rule3.min-trailing-silence=1.0\n--endpoint.rule4.min-trailing-silence=2.0\n"
)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("weights")
    parser.add_argument("out")
    parser.add_argument("--words", type=int, default=40_000)
    parser.add_argument("--phone-penalty", type=float, default=Filler.phone_penalty)
    parser.add_argument("--entry-penalty", type=float, default=Filler.entry_penalty)
    parser.add_argument("--garbage-penalty", type=float, default=Filler.garbage_penalty)
    parser.add_argument("--bits", type=int, choices=(8, 16), default=16, help="of a weight in the file")
    options = parser.parse_args()
    out = Path(options.out)
    for folder in ("am", "conf", "graph"):
        (out / folder).mkdir(parents=True, exist_ok=True)
    (out / "conf" / "mfcc.conf").write_text(MFCC)
    (out / "conf" / "model.conf").write_text(DECODER)
    data = np.load(options.weights)
    state = {name: data[name].astype("f4") for name in data.files}
    (out / "am" / "final.mdl").write_bytes(model_bytes(state, options.bits))
    filler = Filler(options.phone_penalty, options.entry_penalty, options.garbage_penalty)
    build(str(out / "graph"), vocabulary(options.words), filler)


if __name__ == "__main__":
    main()
