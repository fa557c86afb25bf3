"""The stored weights: they fit the network, and the written model reads back as they are."""

import subprocess
import sys
from pathlib import Path

import numpy as np
import torch

from kaldi_format import model_bytes
from network import Mfcc, context, layers_of, stored_network
from phone_set import PDF_COUNT

WEIGHTS = Path(__file__).parent / "weights.npz"


def stored() -> dict[str, np.ndarray]:
    data = np.load(WEIGHTS)
    return {name: data[name] if name == "layers" else data[name].astype("f4") for name in data.files}


def test_the_stored_weights_are_a_whole_network() -> None:
    state = stored()
    network = stored_network(WEIGHTS).eval()
    counters = {name for name in network.state_dict() if name.endswith("num_batches_tracked")}
    assert set(state) == (set(network.state_dict()) - counters) | {"layers"}
    torch.manual_seed(0)
    with torch.no_grad():
        outputs = network(Mfcc(1.0)(20 * torch.randn(1, 16_000)))
    assert outputs.shape[2] == PDF_COUNT
    assert torch.isfinite(outputs).all()
    assert context(layers_of(state))[1] <= 25, "looks further ahead than the README says"


def test_eight_bits_halve_the_file() -> None:
    state = stored()
    whole, half = (len(model_bytes(state, bits)) for bits in (16, 8))
    assert half < 0.6 * whole


def test_the_shipped_model_is_made_of_these_weights(tmp_path: Path) -> None:
    shipped = Path(__file__).parents[1] / "en"
    command = [sys.executable, "make_model.py", "weights.npz", str(tmp_path), "--bits", "8"]
    subprocess.run(command, check=True, cwd=Path(__file__).parent)
    made = sorted(path.relative_to(tmp_path) for path in tmp_path.rglob("*") if path.is_file())
    assert len(made) >= 8
    for path in made:
        assert (tmp_path / path).read_bytes() == (shipped / path).read_bytes(), path
