"""The GPU kernels of the criterion against plain PyTorch, value and gradient.

Without a GPU: TRITON_INTERPRET=1 pytest test_criterion.py
"""

import numpy as np
import pytest
import torch

import network
from phone_set import PDF_COUNT

kernels = pytest.importorskip("criterion_kernels")
DEVICE = "cuda" if torch.cuda.is_available() else "cpu"


def example(seed: int):
    torch.manual_seed(seed)
    rng = np.random.RandomState(seed)
    words = [[[int(p) for p in rng.randint(2, PDF_COUNT // 2, rng.randint(1, 4))] for _ in range(rng.randint(0, 4))] for _ in range(4)]
    outputs = torch.randn(4, 23, PDF_COUNT, device=DEVICE) * 2
    lengths = torch.tensor([23, 17, 20, 22], device=DEVICE)
    return words, outputs, lengths


def some_bounds(words: list[list[list[int]]]) -> list[list[tuple[float, float]] | None]:
    """Every second utterance has its phones by two frames each, the others no bounds."""
    counts = [sum(map(len, utterance)) for utterance in words]
    return [[(2 * n + 1, 2 * n + 3) for n in range(count)] if row % 2 == 0 else None for row, count in enumerate(counts)]


@pytest.mark.parametrize("seed", [1, 2, 3])
@pytest.mark.parametrize("bounded", [False, True])
def test_numerator_and_its_gradient(seed: int, bounded: bool) -> None:
    words, outputs, lengths = example(seed)
    bounds = some_bounds(words) if bounded else None
    graphs = [torch.from_numpy(a).to(DEVICE) for a in network.numerator_graphs(words, bounds)]
    results = []
    for function in (network.numerator, kernels.numerator):
        x = outputs.clone().requires_grad_(True)
        value = function(x, lengths, *graphs)
        (value * torch.tensor([1.0, 2.0, 0.5, 1.0], device=DEVICE)).sum().backward()
        results.append((value.detach(), x.grad))
    assert torch.allclose(results[0][0], results[1][0], atol=1e-3)
    assert torch.allclose(results[0][1], results[1][1], atol=1e-4)
    assert results[0][1].abs().max() > 0.1


def test_bounds_take_away_the_late_paths() -> None:
    """One phone that may be told until frame 3: a sound that looks like it from frame 5 on counts for nothing."""
    outputs = torch.zeros(1, 10, PDF_COUNT)
    outputs[:, 5:, 2 * 7 : 2 * 7 + 2] = 4.0
    lengths = torch.tensor([10])
    scores = [
        network.numerator(outputs, lengths, *[torch.from_numpy(a) for a in network.numerator_graphs([[[7]]], bounds)]).item()
        for bounds in (None, [[(20, 20)]], [[(2, 3)]])
    ]
    assert scores[0] == scores[1]
    assert scores[2] < scores[0] - 10
    outputs.requires_grad_(True)
    network.numerator(outputs, lengths, *[torch.from_numpy(a) for a in network.numerator_graphs([[[7]]], [[(2, 3)]])]).sum().backward()
    assert outputs.grad is not None
    assert outputs.grad[0, 4:, 2 * 7 : 2 * 7 + 2].abs().max() == 0
    assert outputs.grad[0, :4, 2 * 7].sum() > 0.5


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_denominator_and_its_gradient(seed: int) -> None:
    _, outputs, lengths = example(seed)
    phones = PDF_COUNT // 2
    transition = torch.rand(phones, phones, device=DEVICE) ** 4
    initial, final = torch.rand(phones, device=DEVICE), torch.rand(phones, device=DEVICE)
    transition, initial = transition / (transition.sum(1, keepdim=True) + final[:, None]), initial / initial.sum()
    results = []
    for function in (network.denominator, kernels.denominator):
        x = outputs.clone().requires_grad_(True)
        value = function(x, lengths, transition, initial, final)
        (value * torch.tensor([1.0, 2.0, 0.5, 1.0], device=DEVICE)).sum().backward()
        results.append((value.detach(), x.grad))
    assert torch.allclose(results[0][0], results[1][0], rtol=1e-5, atol=1e-3)
    assert torch.allclose(results[0][1], results[1][1], atol=1e-4)
    assert results[0][1].abs().max() > 0.1
