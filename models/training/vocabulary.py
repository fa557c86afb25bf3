"""The words the recogniser knows, each with a rough probability.

The list is SCOWL (Debian package `scowl`, permissive) up to size 50, cut to the words CMUdict can
pronounce, with the words of the job on top. SCOWL's size bands (10 = most common) stand in for a
frequency, so no share-alike frequency list is needed; with a grammar, the normal use, the
probabilities do not matter.
"""

import glob
import re
from pathlib import Path

from phone_set import EXTRA_WORDS, pronunciations

SPELLING = (
    "alpha alfa bravo charlie delta echo foxtrot golf hotel india juliet juliett kilo lima mike november "
    "oscar papa quebec romeo sierra tango uniform victor whiskey whisky xray x-ray yankee zulu niner"
).split()
LETTERS = list("abcdefghijklmnopqrstuvwxyz")
DIGITS = "zero one two three four five six seven eight nine oh".split()
TEENS = "ten eleven twelve thirteen fourteen fifteen sixteen seventeen eighteen nineteen".split()
TENS = "twenty thirty forty fifty sixty seventy eighty ninety".split()
NUMBER_WORDS = [
    *DIGITS, *TEENS, *TENS,
    *"hundred thousand million point and minus negative half quarter quarters dozen double triple nought".split(),
]  # fmt: skip
UNITS = (
    "millimeter millimeters millimetre millimetres centimetre centimetres metre metres inch inches newton "
    "newtons gram grams kilogram kilograms pound pounds litre litres millilitre millilitres volt volts "
    "millivolts amp amps milliamps ohm ohms kilohms megohms watt watts hertz degrees celsius percent bar "
    "minute minutes second seconds hour hours"
).split()
PARTS = (
    "screw screws bolt bolts nut nuts washer washers bracket brackets connector connectors ribbon cable cables "
    "fan fans battery batteries driver screwdriver wrench hex phillips pozidriv slotted key spudger tweezers "
    "pliers hammer drill bit bits socket ratchet spanner clamp tape glue adhesive alcohol wipe cloth thermal "
    "paste compound pad pads gasket seal seals ring rings clip clips latch tab hinge panel panels cover covers "
    "lid case housing frame plate board boards display screen speaker microphone antenna switch button port "
    "plug wire wires harness fuse relay resistor capacitor capacitors module drive keypad heatsink sink shield "
    "standoff standoffs spacer bearing gear belt pulley shaft wheel spring pin pins pump valve hose filter tube "
    "fitting motor sensor coil magnet lens optics diaphragm unit tray head earth wrist strap"
).split()
COMMANDS = [
    "next", "next step", "back", "go back", "repeat", "say again", "slower", "screw count", "which tool",
    "torque", "caution", "why", "where am i", "how long", "pause", "resume", "understood", "yes", "no",
    "problem", "note", "undo", "stop", "stop listening", "start listening", "finish", "what can i say",
    "done", "skip", "help", "continue", "okay", "cancel", "confirm", "bench", "sign off", "give up",
    "stripped screw", "missing part", "broken part", "does not fit", "wrong unit", "injury",
    "something else", "go on", "new part", "hand over", "how many screws", "skip step", "lost screw",
    "extra screw", "the reading is", "serial is", "not known", "not now", "none",
]  # fmt: skip
NEAR_MISSES = (
    "text neck necks nest best bag pack black beck receipt complete defeat lower shower flower talk fork work "
    "dork auction option ocean wide while white along wrong belong cause because paws presume assume zoom "
    "consume understand under stood guess less yet yes'm now new know nose probably program boat not known vote "
    "into onto ship strip scrap top shop step drop fish furnish finished minute minutes count counter account "
    "screwed scoot grew tool fool pool witch itch unit knit junior country where wear hair say stay again gain "
    "listen listing star started hand band bench branch past part parking brake broke stripe feet fitting help "
    "held skin continued okayed castle counsel form conform done dumb ton sign signal gift live one won to too"
).split()
VERBS = (
    "remove tighten loosen install insert lift disconnect connect clean inspect measure replace align press "
    "pull push rotate unplug unscrew hold check fit close open apply peel route"
).split()

BAND_SHARE = {10: 1.0, 20: 0.3, 35: 0.1, 40: 0.06, 50: 0.04}


def job_words() -> list[str]:
    """Every word of the job that has a pronunciation."""
    known = pronunciations()
    words = [*SPELLING, *LETTERS, *NUMBER_WORDS, *UNITS, *PARTS, *VERBS, *EXTRA_WORDS]
    words += [word for phrase in COMMANDS for word in phrase.split()]
    return [word for word in dict.fromkeys(words) if word in known]


def vocabulary(limit: int, scowl: str = "/usr/share/dict/scowl") -> list[tuple[str, float]]:
    """At most `limit` words with probabilities that sum to 1, sorted by word.

    The job's words come first, then SCOWL by size band. A word without a pronunciation is left out.
    """
    known = pronunciations()
    share: dict[str, float] = {word: 1.0 for word in job_words()}
    for size, weight in BAND_SHARE.items():
        for path in sorted(glob.glob(f"{scowl}/*-words.{size}")):
            if not re.match(r"(english|american|british)-words", Path(path).name):
                continue
            for line in Path(path).read_text(encoding="latin-1").splitlines():
                word = line.strip()
                usable = re.fullmatch(r"[a-z][a-z']*", word) and word in known and (len(word) > 1 or word in "ai")
                if usable and word not in share and len(share) < limit:
                    share[word] = weight
    total = sum(share.values())
    return [(word, share[word] / total) for word in sorted(share)]
