"""The tiny model of `tone_model.py`: our forward pass and the real decoder hear the same, at the same time."""

import json
from pathlib import Path

import numpy as np
import pytest
import torch

import tone_model
from network import AcousticNetwork, Layers, Mfcc, layer_offsets
from phone_set import PHONE_INDEX

SOUND = [(0, 1.0), (300.0, 0.4), (0, 0.6), (2_500.0, 0.4), (0, 0.6), (300.0, 0.3), (0, 2.4)]
EXPECTED = [("ah", 1_000), ("e", 2_000), ("ah", 3_000)]
TOLERANCE_MS = 15  # half a frame: one layer with a wrong offset moves a word by a whole one


def samples() -> np.ndarray:
    return np.concatenate([tone_model.tone(frequency, seconds) for frequency, seconds in SOUND])


def starts(words, shift: int):
    return [(word, at - shift) for word, at in words]


# The shipped ones too: with some memories the decoder finds a loop that is none, and remembers the beginning for ever.
SHAPES = {
    "plain": tone_model.PLAIN,
    "remembering": layer_offsets(4, 3, (12, 24)),
    "shipped": tone_model.SHIPPED,
}
KINDS = pytest.mark.parametrize("layers", SHAPES.values(), ids=SHAPES)


@KINDS
@pytest.mark.parametrize("later", [True, False])
def test_forward_pass(later: bool, layers: Layers) -> None:
    network = AcousticNetwork(layers, tone_model.width(layers), tone_model.BOTTLENECK).eval()
    weights = tone_model.weights(later, layers)
    network.load_state_dict({k: torch.tensor(v) for k, v in weights.items() if k != "layers"}, strict=False)
    torch.manual_seed(2)
    with torch.no_grad():
        outputs = network(Mfcc(1.0)(torch.tensor(samples()[None], dtype=torch.float32)))[0]
    phones = (outputs.argmax(1) // 2).tolist()
    names = {PHONE_INDEX["AA"]: "ah", PHONE_INDEX["IY"]: "e"}
    heard = [(names[p], 30 * k) for k, p in enumerate(phones) if p and (k == 0 or phones[k - 1] != p)]
    wanted = starts(EXPECTED, tone_model.shift_ms(later, layers))
    assert [word for word, _ in heard] == [word for word, _ in wanted]
    for (_, at), (_, expected) in zip(heard, wanted, strict=True):
        assert abs(at - expected) <= TOLERANCE_MS


@KINDS
@pytest.mark.parametrize("later", [True, False])
@pytest.mark.parametrize("bits", [16, 8])
def test_decoder(tmp_path: Path, later: bool, bits: int, layers: Layers) -> None:
    vosk = pytest.importorskip("vosk")
    vosk.SetLogLevel(-1)
    tone_model.write(tmp_path, later, layers, bits)
    recogniser = vosk.KaldiRecognizer(vosk.Model(str(tmp_path)), 16_000, json.dumps(["ah", "e", "[unk]"]))
    recogniser.SetWords(True)
    recogniser.AcceptWaveform(samples().astype("<i2").tobytes())
    heard = json.loads(recogniser.FinalResult()).get("result", [])
    wanted = starts(EXPECTED, tone_model.shift_ms(later, layers))
    assert [one["word"] for one in heard] == [word for word, _ in wanted]
    for one, (_, expected) in zip(heard, wanted, strict=True):
        assert abs(1000 * one["start"] - expected) <= TOLERANCE_MS
