"""What becomes a label: pronunciations without "r", words two recognisers agree on."""

import pytest

from graph import Costs, lexicon_arcs, spoken_ways
from phone_set import pronunciations, synthesiser_word, without_r


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
