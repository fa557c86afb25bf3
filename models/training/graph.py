"""The decoding graph, built with OpenFst's command line alone (Debian package `libfst-tools`).

usage (through make_model.py): build(OUT_DIR, words, Costs())

HCLr.fst is a lexicon tree over phones with self-loops; Gr.fst a unigram. Everything that is no word of
the grammar should end in `[unk]` (`Costs`). The words of the job are also known as they are said without
"r" ("torque" T AO K).
"""

import ctypes.util
import math
import os
import subprocess
from dataclasses import dataclass
from pathlib import Path

from kaldi_format import phone_table
from phone_set import ALL_PHONES, GARBAGE, PHONES, plain_phone, pronunciations, without_r
from vocabulary import job_words

UNKNOWN = "[unk]"
HALF = math.log(2)


@dataclass(frozen=True)
class Costs:
    """What paths through the graph cost (natural log). The first three are of `[unk]`: smaller rejects more, and
    infinity leaves a way out.

    Two ways lead through it: a loop over all phones (`entry_penalty` once, `phone_penalty` for each of its
    phones), and the trained garbage phone (`garbage_penalty`), which stands for one word. In training every
    phone pays its probability after the one before, a whole garbage word only once; `word_phone_cost` makes
    the words of the grammar pay for their phones here too, or garbage would never be cheaper.

    Every word of a spelled code costs a choice among some 45, silence between two words nothing: a word said
    weakly was taken for silence. So each further frame (30 ms) of silence costs `silence_frame`, and each word
    may give `word_bonus` back.
    """

    phone_penalty: float = 2.4
    entry_penalty: float = 3.0
    garbage_penalty: float = math.inf
    word_phone_cost: float = 0.0
    silence_frame: float = 0.2
    word_bonus: float = 0.0


class Arcs:
    def __init__(self) -> None:
        self.lines: list[tuple[int, int, int, int, float]] = []
        self.states = 0

    def state(self) -> int:
        self.states += 1
        return self.states - 1

    def add(self, source: int, target: int, phone: int, word: int, cost: float = 0.0) -> None:
        self.lines.append((source, target, phone, word, cost))


def spoken_ways(word: str, more: frozenset[str]) -> list[tuple[str, ...]]:
    """The pronunciations of a word in phones without stress; those of `more` also without "r"."""
    spoken = pronunciations()[word]
    if word in more:
        spoken = [*spoken, *map(without_r, spoken)]
    return list(dict.fromkeys(tuple(plain_phone(p) for p in phones) for phones in spoken))


def lexicon_arcs(words: list[tuple[str, float]], word_id: dict[str, int], costs: Costs):
    """Arcs of the lexicon tree and the filler; returns them with the root state."""
    phone_id = {name: index + 1 for index, (name, _, _) in enumerate(phone_table())}

    def entering(name: str) -> int:
        return 2 * (phone_id[name] - 1) + 2

    def staying(name: str) -> int:
        return 2 * (phone_id[name] - 1) + 1

    arcs = Arcs()
    start, root, silence, after = (arcs.state() for _ in range(4))
    for source in (start, after):
        arcs.add(source, root, 0, 0, HALF)
        arcs.add(source, silence, entering("SIL"), 0, HALF)
    arcs.add(silence, silence, staying("SIL"), 0, costs.silence_frame)
    arcs.add(silence, root, 0, 0)

    tree, more = {}, frozenset(job_words())
    for word, _ in words:
        for phones in spoken_ways(word, more):
            if len(phones) == 1:
                marked = [f"{phones[0]}_S"]
            else:
                marked = [f"{phones[0]}_B", *(f"{p}_I" for p in phones[1:-1]), f"{phones[-1]}_E"]
            state = root
            for phone in marked:
                if (state, phone) not in tree:
                    target = arcs.state()
                    tree[state, phone] = target
                    arcs.add(state, target, entering(phone), 0, costs.word_phone_cost)
                    arcs.add(target, target, staying(phone), 0)
                state = tree[state, phone]
            arcs.add(state, after, 0, word_id[word], -costs.word_bonus)

    leaving = arcs.state()
    if math.isfinite(costs.phone_penalty):
        inside, within = arcs.state(), arcs.state()
        arcs.add(root, within, 0, 0, costs.entry_penalty)
        for phone in PHONES:
            ways = (("_B", within, inside), ("_I", inside, inside), ("_E", inside, leaving), ("_S", within, leaving))
            for mark, source, target in ways:
                state = arcs.state()
                arcs.add(source, state, entering(phone + mark), 0, costs.phone_penalty + costs.word_phone_cost)
                arcs.add(state, state, staying(phone + mark), 0)
                arcs.add(state, target, 0, 0)
    if math.isfinite(costs.garbage_penalty):
        state, garbage = arcs.state(), ALL_PHONES[GARBAGE]
        arcs.add(root, state, entering(garbage), 0, costs.garbage_penalty)
        arcs.add(state, state, staying(garbage), 0)
        arcs.add(state, leaving, 0, 0)
    arcs.add(leaving, after, 0, word_id[UNKNOWN], -costs.word_bonus)
    return arcs, root


def openfst(command: str, work: Path) -> None:
    """Runs an OpenFst pipeline in `work`, with the extension libraries in `work/lib` under the names it looks for.

    Names of files are given without their folder: OpenFst writes them into what it makes.
    """
    libraries = str((work / "lib").resolve())
    subprocess.run(command, shell=True, check=True, cwd=work, env={**os.environ, "LD_LIBRARY_PATH": libraries})


def link_extension_libraries(folder: Path) -> None:
    folder.mkdir(parents=True, exist_ok=True)
    for kind, library in (("olabel_lookahead", "fstlookahead"), ("const", "fstconst")):
        found = ctypes.util.find_library(library)
        assert found, f"lib{library} is missing: install Debian's libfst-tools"
        path = next(p for p in Path("/usr/lib").rglob(found))
        link = folder / f"{kind}-fst.so"
        if not link.exists():
            link.symlink_to(path)


def build(out: str, words: list[tuple[str, float]], costs: Costs) -> None:
    """Writes HCLr.fst, Gr.fst, disambig_tid.int, phones.txt and phones/word_boundary.int into `out`."""
    folder = Path(out)
    work = folder / "work"
    (folder / "phones").mkdir(parents=True, exist_ok=True)
    work.mkdir(exist_ok=True)
    table = phone_table()
    names = "".join(f"{name} {index + 1}\n" for index, (name, _, _) in enumerate(table))
    (folder / "phones.txt").write_text(f"<eps> 0\n{names}")
    places = "".join(f"{index + 1} {position}\n" for index, (_, position, _) in enumerate(table))
    (folder / "phones" / "word_boundary.int").write_text(places)
    (folder / "disambig_tid.int").write_text(f"{2 * len(table) + 1}\n")

    symbols = ["<eps>", UNKNOWN, *(word for word, _ in words)]
    word_id = {word: index for index, word in enumerate(symbols)}
    arcs, root = lexicon_arcs(words, word_id, costs)
    with open(work / "hcl.txt", "w", encoding="utf-8") as out_file:
        for line in sorted(arcs.lines, key=lambda a: a[0]):
            out_file.write("{} {} {} {} {:.5g}\n".format(*line))
        out_file.write(f"{root} 0\n")
    with open(work / "g.txt", "w", encoding="utf-8") as out_file:
        for word, share in [*words, (UNKNOWN, 1e-3)]:
            out_file.write(f"0 0 {word_id[word]} {word_id[word]} {-math.log(share):.4f}\n")
        out_file.write("0 0\n")

    link_extension_libraries(work / "lib")
    openfst("fstcompile hcl.txt | fstarcsort --sort_type=olabel > hcl.fst", work)
    openfst(
        "fstconvert --fst_type=olabel_lookahead --save_relabel_opairs=relabel hcl.fst > ../HCLr.fst",
        work,
    )
    new_id = dict(tuple(map(int, line.split())) for line in open(work / "relabel", encoding="utf-8"))
    with open(work / "words.txt", "w", encoding="utf-8") as out_file:
        out_file.write("<eps> 0\n" + "".join(f"{word} {new_id[word_id[word]]}\n" for word in symbols[1:]))
    openfst(
        "fstcompile g.txt | fstrelabel --relabel_ipairs=relabel --relabel_opairs=relabel "
        "| fstarcsort --sort_type=ilabel | fstsymbols --osymbols=words.txt "
        "| fstconvert --fst_type=const > ../Gr.fst",
        work,
    )
    subprocess.run(["rm", "-r", str(work)], check=True)
    print(f"{arcs.states} states, {len(arcs.lines)} arcs, {len(words)} words")
