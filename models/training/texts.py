"""Sentences to be spoken for training: commands, numbers, spelling, part names, and plenty of other speech.

usage: texts.py COUNT OUT.jsonl [SEED]

Each line is a JSON list of [word, CMUdict phones]. Other sentences come from the documentation of
Python's standard library (PSF licence), so no unclear text is needed; random words in random order
teach the network not to lean on the commands.
"""

import importlib
import json
import pkgutil
import random
import re
import sys
import warnings

from phone_set import pronunciations
from vocabulary import COMMANDS, DIGITS, LETTERS, NEAR_MISSES, PARTS, SPELLING, TEENS, TENS, UNITS, VERBS, job_words, vocabulary

SENTENCE_WORDS_MAX = 9


def library_sentences() -> list[list[str]]:
    """English sentences from docstrings, as lower-case words that all have a pronunciation."""
    known = pronunciations()
    warnings.simplefilter("ignore")
    texts = []
    skip = {"antigravity", "this", "idlelib", "turtle", "tkinter", "__main__", "turtledemo"}
    for info in pkgutil.iter_modules():
        if info.name in skip or info.name not in sys.stdlib_module_names:
            continue
        try:
            module = importlib.import_module(info.name)
        except Exception:  # noqa: BLE001 - a module that cannot load here only costs its sentences
            continue
        for thing in [module, *vars(module).values()]:
            texts.append(getattr(thing, "__doc__", None) or "")
            if isinstance(thing, type):
                texts += [getattr(member, "__doc__", None) or "" for member in vars(thing).values()]
    sentences = set()
    for text in texts:
        if not isinstance(text, str):
            continue
        for sentence in re.split(r"[.!?;:]\s|\n\n", text.replace("\n", " ")):
            words = tuple(word.strip("'") for word in re.findall(r"[a-z']+", sentence.lower()) if word.strip("'"))
            if 3 <= len(words) <= 40 and all(word in known for word in words):
                sentences.add(words)
    return [list(words) for words in sorted(sentences)]


class Speaker:
    """Draws one utterance at a time from a seeded generator."""

    def __init__(self, seed: int) -> None:
        self.random = random.Random(seed)
        self.sentences = library_sentences()
        words = [(word, share) for word, share in vocabulary(20_000) if len(word) > 1 or word in "ai"]
        self.words = [word for word, _ in words]
        self.shares = [share**0.35 for _, share in words]
        self.job_words = job_words()

    def below_hundred(self) -> list[str]:
        kind = self.random.random()
        if kind < 0.35:
            return [self.random.choice(DIGITS[:10])]
        if kind < 0.6:
            return [self.random.choice(TEENS)]
        unit = [self.random.choice(DIGITS[1:10])] if self.random.random() < 0.7 else []
        return [self.random.choice(TENS), *unit]

    def number(self) -> list[str]:
        kind = self.random.random()
        if kind < 0.4:
            return self.below_hundred()
        if kind < 0.6:
            rest = (["and"] if self.random.random() < 0.4 else []) + self.below_hundred()
            return [self.random.choice(DIGITS[1:10]), "hundred", *(rest if self.random.random() < 0.6 else [])]
        if kind < 0.68:
            return [self.random.choice(DIGITS[1:10]), "thousand", *self.below_hundred()]
        sign = [self.random.choice(["minus", "negative"])] if self.random.random() < 0.2 else []
        decimals = [self.random.choice(DIGITS) for _ in range(self.random.choice([1, 1, 2, 3]))]
        return [*sign, *self.below_hundred(), "point", *decimals]

    def command(self) -> list[str]:
        pick = self.random.choice
        kind = self.random.random()
        if kind < 0.6:
            return pick(COMMANDS).split()
        if kind < 0.77:
            return ["the", "reading", "is", *self.number(), *([pick(UNITS)] if self.random.random() < 0.4 else [])]
        if kind < 0.87:
            return [pick(VERBS), "the", pick(PARTS)]
        return [*self.number(), pick(UNITS)]

    def code(self) -> list[str]:
        """A spelled code of 2 to 8 words; a quarter of them says one of its words twice."""
        figures = self.random.uniform(0.3, 0.8)
        words = [self.random.choice(DIGITS if self.random.random() < figures else SPELLING) for _ in range(self.random.randint(2, 7))]
        if self.random.random() < 0.25:
            at = self.random.randrange(len(words))
            words.insert(at, words[at])
        return [*(["serial", "is"] if self.random.random() < 0.15 else []), *words]

    def sentence(self) -> list[str]:
        words = self.random.choice(self.sentences)
        length = self.random.randint(3, SENTENCE_WORDS_MAX)
        start = self.random.randint(0, max(0, len(words) - length))
        return words[start : start + length]

    def near_miss(self) -> list[str]:
        word = self.random.choice(NEAR_MISSES)
        kind = self.random.random()
        if kind < 0.5:
            return [word]
        if kind < 0.75:
            return [word, self.random.choice(NEAR_MISSES)]
        words = self.sentence()[:3]
        return [*words, word] if kind < 0.88 else [word, *words]

    def utterance(self) -> list[str]:
        kind = self.random.random()
        if kind < 0.2:
            return self.sentence()
        if kind < 0.46:
            return self.command()
        if kind < 0.52:  # words that nearly sound like a command, alone or in company
            return self.near_miss()
        if kind < 0.56:
            return [self.random.choice(self.job_words) for _ in range(self.random.choice([1, 1, 1, 2, 3]))]
        if kind < 0.63:
            if self.random.random() < 0.5:
                return [self.random.choice(DIGITS) for _ in range(self.random.choice([1, 1, 2, 3, 4, 5]))]
            return self.number()
        if kind < 0.75:
            return self.code()
        if kind < 0.79:
            source = SPELLING if self.random.random() < 0.7 else LETTERS
            return [self.random.choice(source) for _ in range(self.random.choice([1, 1, 2, 3]))]
        return self.random.choices(self.words, self.shares, k=self.random.choice([1, 1, 2, 2, 3, 4, 5]))


def pronounced(words: list[str], choose: random.Random) -> list[tuple[str, list[str]]]:
    """Words with one of their pronunciations; "a" and "the" use their two usual ones only."""
    known = pronunciations()
    out = []
    for word in words:
        options = known.get(word)
        if options:
            out.append((word, choose.choice(options[:2] if word in ("a", "the") else options)))
    return out


def main() -> None:
    count, path = int(sys.argv[1]), sys.argv[2]
    speaker = Speaker(int(sys.argv[3]) if len(sys.argv) > 3 else 1)
    with open(path, "w", encoding="utf-8") as out:
        for _ in range(count):
            spoken = pronounced(speaker.utterance(), speaker.random)
            if spoken:
                out.write(json.dumps(spoken) + "\n")
    print(f"{count} utterances, {len(speaker.sentences)} library sentences, {len(speaker.words)} words")


if __name__ == "__main__":
    main()
