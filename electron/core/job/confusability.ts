/**
 * How alike two phrases sound, roughly. It is a check at the desk for choosing words; the listening bench
 * measures what the recogniser really confuses.
 *
 * How it is computed: each word becomes phonemes, from a small table for the words we use and by letter
 * rules for any other. Two strings of phonemes are compared by weighted edit distance: leaving one out or
 * putting one in costs 1; changing one costs 0.3 within a pair that differs by voicing or place only
 * (p/b, m/n, s/z …), 0.5 between two vowels, 0.7 between two consonants of one manner, else 1. Likeness is
 * 1 − distance / length of the longer string: 1 is the same sound, 0 has nothing in common.
 */

/** Phonemes in the ARPAbet, without stress. From memory of ordinary American pronunciation. */
const SOUNDS: Readonly<Record<string, string>> = {
  a: 'AH',
  again: 'AH G EH N',
  ait: 'EY T',
  alfa: 'AE L F AH',
  am: 'AE M',
  amps: 'AE M P S',
  and: 'AE N D',
  back: 'B AE K',
  bar: 'B AA R',
  bravo: 'B R AA V OW',
  broken: 'B R OW K AH N',
  can: 'K AE N',
  caution: 'K AO SH AH N',
  charlie: 'CH AA R L IY',
  count: 'K AW N T',
  dash: 'D AE SH',
  degrees: 'D IH G R IY Z',
  delta: 'D EH L T AH',
  does: 'D AH Z',
  double: 'D AH B AH L',
  dozen: 'D AH Z AH N',
  echo: 'EH K OW',
  eight: 'EY T',
  eighteen: 'EY T IY N',
  eighty: 'EY T IY',
  eleven: 'IH L EH V AH N',
  else: 'EH L S',
  extra: 'EH K S T R AH',
  fifteen: 'F IH F T IY N',
  fifty: 'F IH F T IY',
  finish: 'F IH N IH SH',
  fit: 'F IH T',
  five: 'F AY V',
  forty: 'F AO R T IY',
  four: 'F AO R',
  fourteen: 'F AO R T IY N',
  foxtrot: 'F AA K S T R AA T',
  go: 'G OW',
  golf: 'G AA L F',
  h: 'EY CH',
  half: 'HH AE F',
  help: 'HH EH L P',
  hotel: 'HH OW T EH L',
  how: 'HH AW',
  hundred: 'HH AH N D R AH D',
  i: 'AY',
  india: 'IH N D IY AH',
  injury: 'IH N JH ER IY',
  is: 'IH Z',
  job: 'JH AA B',
  juliett: 'JH UW L IY EH T',
  kilo: 'K IY L OW',
  l: 'EH L',
  lima: 'L IY M AH',
  listening: 'L IH S AH N IH NG',
  long: 'L AO NG',
  many: 'M EH N IY',
  mike: 'M AY K',
  million: 'M IH L Y AH N',
  minus: 'M AY N AH S',
  missing: 'M IH S IH NG',
  next: 'N EH K S T',
  nine: 'N AY N',
  niner: 'N AY N ER',
  nineteen: 'N AY N T IY N',
  ninety: 'N AY N T IY',
  no: 'N OW',
  not: 'N AA T',
  note: 'N OW T',
  november: 'N OW V EH M B ER',
  oh: 'OW',
  ohms: 'OW M Z',
  on: 'AA N',
  one: 'W AH N',
  oscar: 'AO S K ER',
  papa: 'P AA P AA',
  part: 'P AA R T',
  pause: 'P AO Z',
  percent: 'P ER S EH N T',
  point: 'P OY N T',
  problem: 'P R AA B L AH M',
  quarter: 'K W AO R T ER',
  quarters: 'K W AO R T ER Z',
  quebec: 'K AH B EH K',
  r: 'AA R',
  reading: 'R IY D IH NG',
  repeat: 'R IH P IY T',
  resume: 'R IH Z UW M',
  romeo: 'R OW M IY OW',
  say: 'S EY',
  screw: 'S K R UW',
  screws: 'S K R UW Z',
  serial: 'S IH R IY AH L',
  seven: 'S EH V AH N',
  seventeen: 'S EH V AH N T IY N',
  seventy: 'S EH V AH N T IY',
  sierra: 'S IY EH R AH',
  six: 'S IH K S',
  sixteen: 'S IH K S T IY N',
  sixty: 'S IH K S T IY',
  skip: 'S K IH P',
  slash: 'S L AE SH',
  slower: 'S L OW ER',
  something: 'S AH M TH IH NG',
  start: 'S T AA R T',
  step: 'S T EH P',
  stop: 'S T AA P',
  stripped: 'S T R IH P T',
  tango: 'T AE NG G OW',
  ten: 'T EH N',
  the: 'DH AH',
  thirteen: 'TH ER T IY N',
  thirty: 'TH ER T IY',
  thousand: 'TH AW Z AH N D',
  three: 'TH R IY',
  tool: 'T UW L',
  torque: 'T AO R K',
  triple: 'T R IH P AH L',
  twelve: 'T W EH L V',
  twenty: 'T W EH N T IY',
  two: 'T UW',
  understood: 'AH N D ER S T UH D',
  undo: 'AH N D UW',
  uniform: 'Y UW N AH F AO R M',
  unit: 'Y UW N IH T',
  victor: 'V IH K T ER',
  volts: 'V OW L T S',
  w: 'D AH B AH L Y UW',
  what: 'W AH T',
  where: 'W EH R',
  which: 'W IH CH',
  whiskey: 'W IH S K IY',
  why: 'W AY',
  wrong: 'R AO NG',
  x: 'EH K S',
  'x-ray': 'EH K S R EY',
  yankee: 'Y AE NG K IY',
  yes: 'Y EH S',
  zero: 'Z IH R OW',
  zulu: 'Z UW L UW',
};

/** Letter rules for words that are not in the table, longest first. */
const RULES: readonly (readonly [string, string])[] = [
  ['tion', 'SH AH N'],
  ['ough', 'AO'],
  ['igh', 'AY'],
  ['tch', 'CH'],
  ['dge', 'JH'],
  ['sh', 'SH'],
  ['ch', 'CH'],
  ['th', 'TH'],
  ['ph', 'F'],
  ['wh', 'W'],
  ['ck', 'K'],
  ['ng', 'NG'],
  ['qu', 'K W'],
  ['kn', 'N'],
  ['wr', 'R'],
  ['ee', 'IY'],
  ['ea', 'IY'],
  ['oo', 'UW'],
  ['ou', 'AW'],
  ['ow', 'OW'],
  ['oa', 'OW'],
  ['ai', 'EY'],
  ['ay', 'EY'],
  ['oi', 'OY'],
  ['oy', 'OY'],
  ['au', 'AO'],
  ['aw', 'AO'],
  ['er', 'ER'],
  ['ir', 'ER'],
  ['ur', 'ER'],
  ['or', 'AO R'],
  ['ar', 'AA R'],
  ['a', 'AE'],
  ['b', 'B'],
  ['c', 'K'],
  ['d', 'D'],
  ['e', 'EH'],
  ['f', 'F'],
  ['g', 'G'],
  ['h', 'HH'],
  ['i', 'IH'],
  ['j', 'JH'],
  ['k', 'K'],
  ['l', 'L'],
  ['m', 'M'],
  ['n', 'N'],
  ['o', 'AA'],
  ['p', 'P'],
  ['q', 'K'],
  ['r', 'R'],
  ['s', 'S'],
  ['t', 'T'],
  ['u', 'AH'],
  ['v', 'V'],
  ['w', 'W'],
  ['x', 'K S'],
  ['y', 'IY'],
  ['z', 'Z'],
];

const VOWELS = new Set('AA AE AH AO AW AY EH ER EY IH IY OW OY UH UW'.split(' '));
const NEAR: readonly ReadonlySet<string>[] = [
  'P B',
  'T D',
  'K G',
  'F V',
  'S Z',
  'SH CH',
  'CH JH',
  'TH F',
  'TH DH',
  'TH S',
  'M N',
  'N NG',
  'L R',
  'Y IY',
  'W UW',
  'IH IY',
  'IH EH',
  'EH AE',
  'AA AO',
  'AH UH',
  'UH UW',
  'AH AA',
  'AO OW',
  'ER AH',
].map((pair) => new Set(pair.split(' ')));
const MANNERS: readonly ReadonlySet<string>[] = [
  'P B T D K G',
  'F V S Z SH TH DH HH',
  'M N NG',
  'L R W Y',
  'CH JH',
].map((group) => new Set(group.split(' ')));

/** A phrase at or above this likeness to another that is possible at the same time is too alike. */
export const TOO_ALIKE = 0.7;

/** The phonemes of a phrase, by table and rules. */
export function phonemesOf(phrase: string): readonly string[] {
  return phrase
    .toLowerCase()
    .split(/\s+/)
    .filter((word) => word !== '')
    .flatMap((word) => (Object.hasOwn(SOUNDS, word) ? (SOUNDS[word] ?? '') : byRules(word)).split(' '))
    .filter((sound) => sound !== '');
}

function byRules(word: string): string {
  const sounds: string[] = [];
  let rest = word.length > 3 ? word.replace(/e$/, '') : word;
  while (rest !== '') {
    const rule = RULES.find(([letters]) => rest.startsWith(letters));
    if (rule !== undefined && sounds.at(-1) !== rule[1]) sounds.push(rule[1]);
    rest = rest.slice(rule?.[0].length ?? 1);
  }
  return sounds.join(' ');
}

function changeCost(a: string, b: string): number {
  if (a === b) return 0;
  if (NEAR.some((pair) => pair.has(a) && pair.has(b))) return 0.3;
  if (VOWELS.has(a) && VOWELS.has(b)) return 0.5;
  return MANNERS.some((group) => group.has(a) && group.has(b)) ? 0.7 : 1;
}

/** Likeness of two phrases, 0…1. Symmetric; 1 for phrases of the same sounds, 0 for an empty one. */
export function likeness(first: string, second: string): number {
  const a = phonemesOf(first);
  const b = phonemesOf(second);
  if (a.length === 0 || b.length === 0) return 0;
  let row = b.map((_, j) => j + 1);
  row.unshift(0);
  a.forEach((sound, i) => {
    const next = [i + 1];
    b.forEach((other, j) => {
      const change = (row[j] ?? 0) + changeCost(sound, other);
      next.push(Math.min(change, (row[j + 1] ?? 0) + 1, (next[j] ?? 0) + 1));
    });
    row = next;
  });
  return 1 - (row[b.length] ?? 0) / Math.max(a.length, b.length);
}

export interface LikePair {
  readonly first: string;
  readonly second: string;
  readonly likeness: number;
}

/** All pairs among the phrases, most alike first; pairs that mean the same are not counted by `same`. */
export function closestPairs(
  phrases: readonly string[],
  same: (first: string, second: string) => boolean = () => false,
): readonly LikePair[] {
  const pairs: LikePair[] = [];
  phrases.forEach((first, i) => {
    for (const second of phrases.slice(i + 1)) {
      if (!same(first, second)) pairs.push({ first, second, likeness: likeness(first, second) });
    }
  });
  return pairs.sort((x, y) => y.likeness - x.likeness || x.first.localeCompare(y.first));
}
