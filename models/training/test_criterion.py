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


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_numerator_and_its_gradient(seed: int) -> None:
    words, outputs, lengths = example(seed)
    graphs = [torch.from_numpy(a).to(DEVICE) for a in network.numerator_graphs(words)]
    results = []
    for function in (network.numerator, kernels.numerator):
        x = outputs.clone().requires_grad_(True)
        value = function(x, lengths, *graphs)
        (value * torch.tensor([1.0, 2.0, 0.5, 1.0], device=DEVICE)).sum().backward()
        results.append((value.detach(), x.grad))
    assert torch.allclose(results[0][0], results[1][0], atol=1e-3)
    assert torch.allclose(results[0][1], results[1][1], atol=1e-4)
    assert results[0][1].abs().max() > 0.1


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
