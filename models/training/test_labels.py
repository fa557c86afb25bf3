"""What becomes a label: pronunciations without "r", words that may be garbage, words two recognisers agree on."""

import numpy as np
import pytest

from batches import Planner, SpeechStore, garbage_chances, phone_numbers
from graph import Costs, lexicon_arcs, spoken_ways
from phone_set import GARBAGE, pronunciations, synthesiser_word, without_r


def said(text: str):
    return [(word, pronunciations()[word][0]) for word in text.split()]


@pytest.mark.parametrize(
    ("word", "phones"),
    [("torque", "T AO1 K"), ("where", "W EH1 AH0"), ("hurry", "HH ER1 R IY0"), ("slower", "S L OW1 AH0"), ("repeat", "R IH0 P IY1 T")],
)
def test_british_words_have_r_before_vowels_only(word: str, phones: str) -> None:
    assert " ".join(without_r(pronunciations()[word][0])) == phones


def test_the_synthesiser_says_stop_short_and_part_long_in_british() -> None:
    stop, part = (pronunciations()[word][0] for word in ("stop", "part"))
    assert [synthesiser_word(one, british=True) for one in (stop, part)] == ["stˈɒp", "pˈɑːt"]


def test_words_of_the_job_are_known_both_ways() -> None:
    assert ("T", "AO", "K") in spoken_ways("torque", frozenset(["torque"]))
    assert ("T", "AO", "K") not in spoken_ways("torque", frozenset())


@pytest.mark.parametrize("text", ["next step", "the reading is four point two", "serial is alfa", "know", "talk"])
def test_what_a_grammar_may_hold_or_sounds_like_it_is_never_garbage(text: str) -> None:
    assert garbage_chances(said(text), real=False) == [0.0] * len(text.split())


def test_a_share_of_the_other_words_becomes_garbage() -> None:
    store = SpeechStore()
    store.labels = [phone_numbers(said("the neck back"))]
    store.chances, store.lengths = [garbage_chances(said("the neck back"), real=False)], [16_000]
    store.kinds = [(1.0, np.array([0]))]
    planner = Planner(store, 1, 1)
    drawn = [planner.words(0) for _ in range(400)]
    shares = [sum(words[place] == [GARBAGE] for words in drawn) / 400 for place in range(3)]
    assert shares[0] == pytest.approx(0.5, abs=0.1)
    assert shares[1] == pytest.approx(0.7, abs=0.1)
    assert shares[2] == 0


def test_the_filler_has_the_ways_that_are_asked_for() -> None:
    words = [("next", 1.0)]
    ids = {"[unk]": 1, "next": 2}
    counts = [
        sum(word == 1 for *_, word, _ in lexicon_arcs(words, ids, costs)[0].lines)
        for costs in (Costs(), Costs(float("inf"), float("inf"), 3.0))
    ]
    assert counts == [1, 1]
    costs = [arc[4] for arc in lexicon_arcs(words, ids, Costs(float("inf"), float("inf"), 3.5))[0].lines]
    assert costs.count(3.5) == 1


def test_only_words_that_both_recognisers_have_keep_their_phones() -> None:
    recordings = pytest.importorskip("label_recordings")
    found = [("chapter", "CH AE P T ER".split()), ("one", "W AH N".split()), ("crystal", "K R IH S T AH L".split())]
    labels = recordings.agreed(["chapter", "one", "missus"], found)
    assert labels is not None
    assert labels[1] == ("one", ["W", "AH1", "N"])
    assert labels[2] == ("missus", ["SPN"])
    assert recordings.agreed(["a", "hidden", "wood"], found) is None
