/**
 * The words of the pages, from the language's table (`page.json`): texts without places as they are, the
 * others as functions of their facts, so that screens ask for `words.start.goOnAt(3, 12)`. What each place is
 * filled with stands here once; the compiler checks the callers, a test the tables.
 */
import { heardPhrases } from '../../electron/core/base/language.ts';
import type { LanguageTable } from '../../electron/core/base/language-table.ts';
import {
  compileMessage,
  type Fact,
  type NumberRules,
  numberRules,
} from '../../electron/core/base/message.ts';
import type { ToolSentences } from '../../electron/core/review/task-of-step.ts';

type Page = LanguageTable['page'];

/** The texts with places, and what fills them, in the order of the arguments. */
interface Places {
  readonly start: {
    readonly goOnAt: [step: number, total: number];
    readonly startedBy: [person: string, when: string];
    readonly revision: [n: number];
    readonly problems: [errors: number, warnings: number];
    readonly noneMend: [folder: string];
  };
  readonly before: {
    readonly noMatch: [text: string];
    readonly chosen: [n: number];
    readonly stepsOf: [n: number];
  };
  readonly plan: {
    readonly replaceLine: [parts: string];
    readonly fromJobs: [middle: string, low: string, high: string, n: number];
    readonly stepsOf: [n: number];
    readonly count: [n: number];
    readonly order: [exact: boolean];
    readonly onlyIf: [answer: string];
  };
  readonly mic: {
    readonly speak: [seconds: number];
    readonly loadingShare: [percent: number];
    readonly db: [n: number];
  };
  readonly bench: {
    readonly of: [total: number];
    readonly stepOf: [n: number, total: number, stage: string];
    readonly left: [time: string];
    readonly compartmentN: [n: number];
    readonly outOf: [out: number, total: number];
    readonly trayPicture: [lit: string];
    readonly passes: [n: number];
    readonly limitBetween: [min: string, max: string];
    readonly limitMin: [min: string];
    readonly limitMax: [max: string];
    readonly sure: [percent: number];
    readonly earLoading: [percent: number];
    readonly holdToTalk: [key: string];
    readonly sayFirst: [word: string];
    readonly pausedFor: [time: string];
    readonly turnPage: [n: number, total: number];
    readonly cautionOf: [n: number, total: number];
    readonly readingOf: [name: string];
    readonly mark: [label: string];
    readonly key: [key: string];
  };
  readonly drive: {
    readonly phillips: [n: string];
    readonly pozidriv: [n: string];
    readonly slotted: [n: string];
    readonly hex: [n: string];
    readonly hexalobular: [n: string];
    readonly 'hex-head': [n: string];
    readonly none: [n: string];
  };
  readonly after: {
    readonly spokenNote: [time: string];
    readonly playNote: [time: string];
    readonly savedTo: [path: string];
    readonly timelineText: [n: number, longest: string, time: string];
    readonly visitsOf: [n: number];
  };
  readonly review: {
    readonly paretoText: [vital: number, all: number, first: string];
    readonly perJobText: [n: number, expected: string];
    readonly controlText: [center: string, low: string, high: string, flagged: number];
    readonly learningText: [people: number, rates: string];
    readonly spreadText: [say: string, median: string, p90: string, n: number];
    readonly lapsesText: [n: number];
    readonly shortTime: [share: string, first: string, vital: number, all: number];
    readonly shortTrend: [says: string, ratio: string];
    readonly shortRewrite: [n: number, first: string];
    readonly shortLapses: [n: number];
    readonly sure: [level: string, low: string, high: string, n: number];
    readonly restsOn: [n: number];
    readonly tooFastBy: [count: number, limit: string, by: string];
    readonly comparison: [b: string, a: string];
    readonly comparisonJobs: [a: string, jobsA: number, b: string, jobsB: number];
    readonly comparisonText: [ratio: string, verdict: string];
    readonly usualOf: [name: string];
    readonly onlyIn: [name: string, steps: string];
    readonly workRests: [n: number, left: number, needed: string | null];
    readonly ruleLine: [number: string, words: string, points: string];
    readonly plateauFrom: [time: string, number: string];
    readonly readingLogs: [done: number, total: number];
    readonly inJobs: [n: number];
  };
  readonly desk: {
    readonly line: [line: number, column: number];
    readonly precedenceText: [parts: number, arrows: number];
    readonly play: [n: number];
    readonly words: [n: number];
    readonly fileCount: [n: number];
  };
  readonly settings: {
    readonly rateValue: [x: string];
    readonly metres: [x: string];
    readonly languageFindings: [n: number];
    readonly attentionHint: [word: string];
    readonly sampleHint: [mm: string, arc: string];
  };
}

type Section<S extends keyof Page> = {
  readonly [K in keyof Page[S]]: S extends keyof Places
    ? K extends keyof Places[S]
      ? Places[S][K] extends readonly unknown[]
        ? (...facts: Places[S][K]) => string
        : never
      : Page[S][K]
    : Page[S][K];
};

/** A complete language for the pages. */
export type Words = { readonly [S in keyof Page]: Section<S> } & {
  readonly language: LanguageTable['language'];
  /** The optional word before every phrase, as it is heard. */
  readonly attentionWord: string;
  /** How the sentences of a plan about tools begin. */
  readonly toolSentences: ToolSentences;
};

/** Names of the places in the order of the arguments. */
const PLACES: { readonly [S in keyof Places]: { readonly [K in keyof Places[S]]: readonly string[] } } = {
  start: {
    goOnAt: ['step', 'total'],
    startedBy: ['person', 'when'],
    revision: ['n'],
    problems: ['errors', 'warnings'],
    noneMend: ['folder'],
  },
  before: {
    noMatch: ['text'],
    chosen: ['n'],
    stepsOf: ['n'],
  },
  plan: {
    replaceLine: ['parts'],
    fromJobs: ['middle', 'low', 'high', 'n'],
    stepsOf: ['n'],
    count: ['n'],
    order: ['exact'],
    onlyIf: ['answer'],
  },
  mic: {
    speak: ['seconds'],
    loadingShare: ['percent'],
    db: ['n'],
  },
  bench: {
    of: ['total'],
    stepOf: ['n', 'total', 'stage'],
    left: ['time'],
    compartmentN: ['n'],
    outOf: ['out', 'total'],
    trayPicture: ['lit'],
    passes: ['n'],
    limitBetween: ['min', 'max'],
    limitMin: ['min'],
    limitMax: ['max'],
    sure: ['percent'],
    earLoading: ['percent'],
    holdToTalk: ['key'],
    sayFirst: ['word'],
    pausedFor: ['time'],
    turnPage: ['n', 'total'],
    cautionOf: ['n', 'total'],
    readingOf: ['name'],
    mark: ['label'],
    key: ['key'],
  },
  drive: {
    phillips: ['n'],
    pozidriv: ['n'],
    slotted: ['n'],
    hex: ['n'],
    hexalobular: ['n'],
    'hex-head': ['n'],
    none: ['n'],
  },
  after: {
    savedTo: ['path'],
    spokenNote: ['time'],
    playNote: ['time'],
    timelineText: ['n', 'longest', 'time'],
    visitsOf: ['n'],
  },
  review: {
    paretoText: ['vital', 'all', 'first'],
    perJobText: ['n', 'expected'],
    controlText: ['center', 'low', 'high', 'flagged'],
    learningText: ['people', 'rates'],
    spreadText: ['say', 'median', 'p90', 'n'],
    lapsesText: ['n'],
    shortTime: ['share', 'first', 'vital', 'all'],
    shortTrend: ['says', 'ratio'],
    shortRewrite: ['n', 'first'],
    shortLapses: ['n'],
    sure: ['level', 'low', 'high', 'n'],
    restsOn: ['n'],
    tooFastBy: ['count', 'limit', 'by'],
    comparison: ['b', 'a'],
    comparisonJobs: ['a', 'jobsA', 'b', 'jobsB'],
    comparisonText: ['ratio', 'verdict'],
    usualOf: ['name'],
    onlyIn: ['name', 'steps'],
    workRests: ['n', 'left', 'needed'],
    ruleLine: ['number', 'words', 'points'],
    plateauFrom: ['time', 'number'],
    readingLogs: ['done', 'total'],
    inJobs: ['n'],
  },
  desk: {
    line: ['line', 'column'],
    precedenceText: ['parts', 'arrows'],
    play: ['n'],
    words: ['n'],
    fileCount: ['n'],
  },
  settings: {
    rateValue: ['x'],
    metres: ['x'],
    languageFindings: ['n'],
    attentionHint: ['word'],
    sampleHint: ['mm', 'arc'],
  },
};

function withPlaces(
  pattern: string,
  names: readonly string[],
  rules: NumberRules,
): (...facts: Fact[]) => string {
  const message = compileMessage(pattern, rules);
  return (...facts) => message(Object.fromEntries(names.map((name, i) => [name, facts[i]])));
}

/** The words of the pages in the language of a table. */
export function pageWords(table: LanguageTable): Words {
  const rules = numberRules(table.language.tag);
  const sections = Object.entries(table.page).map(([section, texts]) => {
    const places = (PLACES as Readonly<Record<string, Readonly<Record<string, readonly string[]>>>>)[section];
    const made = Object.entries(texts).map(([key, text]: [string, unknown]) => {
      const names = places?.[key];
      if (typeof text !== 'string') return [key, text];
      return [key, names === undefined ? compileMessage(text, rules)() : withPlaces(text, names, rules)];
    });
    return [section, Object.fromEntries(made)];
  });
  return {
    ...Object.fromEntries(sections),
    language: table.language,
    attentionWord: heardPhrases(table)['attention-word'],
    toolSentences: table.plan,
  } as Words;
}
