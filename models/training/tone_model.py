"""A tiny model whose output is known, to prove that the files we write mean to the decoder what we think.

usage: tone_model.py OUT_DIR

Two models hear a low tone as the word "ah" and a high tone as "e". `ahead` is wired so that every
layer takes the later of its two taps, `behind` so that every layer takes the earlier one: the same
sound is then heard earlier or later, by the sum of the offsets. A wrong offset, a wrong order of
weights, a wrong norm or a wrong phone number moves or loses a word.
"""

import json
import sys
from pathlib import Path

import numpy as np
import torch

from graph import Costs, build
from kaldi_format import model_bytes
from make_model import DECODER, MFCC
from network import FEATURES, AcousticNetwork, Layers, Mfcc, layer_offsets, layers_of
from phone_set import PDF_COUNT, PHONE_INDEX

RATE = 16_000
TONES = {"low": (300.0, "AA"), "high": (2_500.0, "IY")}
WORDS = [("ah", 0.5), ("e", 0.5)]
PLAIN = layer_offsets()
SHIPPED = layers_of(np.load(Path(__file__).parent / "weights.npz"))
BOTTLENECK = 2  # and two channels a layer: each hands its two values on in channels of its own
IDENTITY_VARIANCE = 1 - 1e-3  # with the norm's epsilon: divides by exactly 1
GAIN = 24.0


def tone(frequency: float, seconds: float, level: float = 0.25) -> np.ndarray:
    """16-bit samples as floats."""
    t = np.arange(int(seconds * RATE)) / RATE
    return 32767 * level * np.sin(2 * np.pi * frequency * t)


def detectors() -> tuple[np.ndarray, np.ndarray]:
    """Weights and bias that give (1, 0) for a low tone, (0, 1) for a high one and (0, 0) in silence."""
    torch.manual_seed(1)
    features, wanted = [], []
    for frequencies, value in (((0.0,), (0, 0)), ((250.0, 300.0, 360.0), (1, 0)), ((2_300.0, 2_500.0, 2_700.0), (0, 1))):
        for frequency in frequencies:
            for level in (0.05, 0.25, 0.5):
                sound = tone(frequency, 0.6, level)
                x = Mfcc(1.0)(torch.tensor(sound[None], dtype=torch.float32))[0].numpy()
                features.append(x)
                wanted.append(np.tile(value, (len(x), 1)))
    x, y = np.concatenate(features).astype("f8"), np.concatenate(wanted)
    x = np.concatenate([x, np.ones((len(x), 1))], 1)
    solved = np.linalg.solve(x.T @ x + 3.0 * np.eye(FEATURES + 1), x.T @ y)
    return solved[:-1].T, solved[-1]


def width(layers: Layers) -> int:
    return 2 * (len(layers) + 1)


def weights(later: bool, layers: Layers) -> dict[str, np.ndarray]:
    network = AcousticNetwork(layers, width(layers), BOTTLENECK)
    state = {k: np.zeros(v.shape, "f4") for k, v in network.state_dict().items() if "num_batches" not in k}
    for name in state:
        if name.endswith("running_var"):
            state[name][:] = IDENTITY_VARIANCE
    weight, bias = detectors()
    state["tdnn1.weight"][:2, FEATURES : 2 * FEATURES], state["tdnn1.bias"][:2] = weight, bias
    for k, (linear, affine) in enumerate(layers):
        tap = (len(linear) - 1 if later else 0) * width(layers)
        for value in (0, 1):
            state[f"f.{k}.lin.weight"][value, tap + 2 * k + value] = 1
            state[f"f.{k}.aff.weight"][2 * (k + 1) + value, (len(affine) - 1 if later else 0) * BOTTLENECK + value] = 1
    for value in (0, 1):
        state["pl.weight"][value, 2 * len(layers) + value] = 1
        state["pa.weight"][value, value] = 1
        state["p2.weight"][value, value] = 1
    out, level = state["out.weight"], state["out.bias"]
    level[:] = -GAIN
    level[:2] = 0
    for value, (_, phone) in enumerate(TONES.values()):
        pdfs = slice(2 * PHONE_INDEX[phone], 2 * PHONE_INDEX[phone] + 2)
        level[pdfs] = -GAIN / 2
        out[pdfs, value] = GAIN
        out[:2, value] = -GAIN
    assert out.shape[0] == PDF_COUNT
    return state | {"layers": np.array(json.dumps(layers))}


def shift_ms(later: bool, layers: Layers) -> int:
    """By how much the network looks ahead (later) or behind: 10 ms a frame."""
    taps = [(max if later else min)(linear) + (max if later else min)(affine) for linear, affine in layers]
    return 10 * sum(taps)


def write(folder: Path, later: bool, layers: Layers, bits: int = 16) -> None:
    for name in ("am", "conf", "graph"):
        (folder / name).mkdir(parents=True, exist_ok=True)
    (folder / "conf" / "mfcc.conf").write_text(MFCC)
    # A word's time is an average over the lattice; a narrow one leaves the time on the best path.
    (folder / "conf" / "model.conf").write_text(DECODER.replace("--lattice-beam=4.0", "--lattice-beam=2.0"))
    (folder / "am" / "final.mdl").write_bytes(model_bytes(weights(later, layers), bits))
    build(str(folder / "graph"), WORDS, Costs(2.0, silence_frame=0.0, word_bonus=0.0))


if __name__ == "__main__":
    for name, later in (("ahead", True), ("behind", False)):
        write(Path(sys.argv[1]) / name, later, SHIPPED)
        print(name, shift_ms(later, SHIPPED), "ms")
