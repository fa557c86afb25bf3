"""The likeliest path against one that is known, and bounds made of it."""

import numpy as np
import torch

from alignment import likeliest_states, phone_times
from batches import LATE_FRAMES, SAMPLES_AN_OUTPUT, Planner, SpeechStore
from network import numerator_graphs
from phone_set import PDF_COUNT


def sure_outputs(states: list[int], first: list[bool]) -> torch.Tensor:
    """Outputs of a network that is sure of a phone at each frame, and whether it begins there."""
    outputs = torch.zeros(len(states), PDF_COUNT)
    for t, (phone, begins) in enumerate(zip(states, first, strict=True)):
        outputs[t, 2 * phone + (0 if begins else 1)] = 9.0
    return outputs


def test_each_phone_has_its_first_and_last_frame() -> None:
    words = [[5, 6], [6]]  # two words; the second begins with the phone that ended the first
    phones = [0, 0, 5, 5, 6, 6, 6, 6, 6, 0]
    begins = [True, False, True, False, True, False, False, True, False, True]
    outputs = torch.stack([sure_outputs(phones, begins), sure_outputs(phones, begins)])
    graphs = [torch.from_numpy(a) for a in numerator_graphs([words, words])[:4]]
    paths = likeliest_states(outputs, torch.tensor([10, 9]), *graphs)
    for path in paths.numpy():
        assert phone_times(path, words).tolist() == [[2, 3], [4, 6], [7, 8]]
    assert paths[1, 9] == -1


def test_bounds_follow_the_place_and_the_speed_of_the_speech() -> None:
    store = SpeechStore()
    store.labels, store.times, store.lengths = [[[5, 6]], [[7]]], [np.array([[2, 3], [4, 6]]), None], [9600, 9600]
    store.kinds = [(1.0, np.array([0, 1]))]
    planner = Planner(store, 1, 2)
    bounds = planner.later(0, 10 * SAMPLES_AN_OUTPUT, 2.0, [])
    assert bounds == [(10 + 1 + LATE_FRAMES, 10 + 1.5 + LATE_FRAMES), (10 + 2 + LATE_FRAMES, 10 + 3 + LATE_FRAMES)]
    assert planner.later(1, 0, 1.0, bounds) is None
    assert planner.later(0, 0, 1.0, None) is None
