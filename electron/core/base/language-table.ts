/**
 * The tables of one language as they lie in its folder, one file each. English is the pattern: a table has
 * the keys of the English one (`check-language.ts`), and what a key is for stands in `languages/README.md`.
 * Data only; `language.ts` makes something of it.
 */
import cli from '../../../languages/en/cli.json';
import findings from '../../../languages/en/findings.json';
import grammar from '../../../languages/en/grammar.json';
import language from '../../../languages/en/language.json';
import numbers from '../../../languages/en/numbers.json';
import page from '../../../languages/en/page.json';
import phrases from '../../../languages/en/phrases.json';
import plan from '../../../languages/en/plan.json';
import prompts from '../../../languages/en/prompts.json';
import reports from '../../../languages/en/reports.json';
import review from '../../../languages/en/review.json';
import spoken from '../../../languages/en/spoken.json';

/** A table whose texts may be any; lists stay lists. */
type Texts<T> = T extends string
  ? string
  : T extends readonly unknown[]
    ? readonly string[]
    : { readonly [K in keyof T]: Texts<T[K]> };

/** What a language is and what goes with it. */
export interface LanguageFacts {
  /** BCP 47 tag; the folder has its name. */
  readonly tag: string;
  /** The language in its own words. */
  readonly name: string;
  readonly direction: 'ltr' | 'rtl';
  /** Folder below `models/` with the recogniser's model; English is heard where it is missing. */
  readonly model?: string | undefined;
}

/** How numbers and codes are said. */
export interface NumberWords {
  /** Nought to nineteen. */
  readonly ones: readonly string[];
  /** Twenty, thirty … ninety. */
  readonly tens: readonly string[];
  /** From twenty-one on: `{tens}`, `{ones}`. */
  readonly 'below-hundred': string;
  readonly hundreds: string;
  readonly thousands: string;
  /** Whole numbers that follow none of these, in figures. */
  readonly irregular: Readonly<Record<string, string>>;
  readonly decimal: string;
  readonly minus: string;
  /** Counts up to this one stand as words in a sentence, larger ones in figures. */
  readonly 'largest-count-in-words': number;
  readonly ordinals: readonly string[];
  readonly 'ordinal-beyond': string;
  /** A to Z. */
  readonly letters: Readonly<Record<string, string>>;
  readonly signs: Readonly<Record<string, string>>;
}

/** What must be known of words to put names of the product file into sentences. All lists may be empty. */
export interface GrammarTable {
  /** Definite articles, left off on labels. */
  readonly articles: readonly string[];
  /** Names that begin with one of these get no article. */
  readonly determiners: readonly string[];
  /** Places that begin with one of these get no further preposition. */
  readonly prepositions: readonly string[];
  /** Plurals at the end of names, with their singulars. */
  readonly 'plural-words': Readonly<Record<string, string>>;
  /** How other names become plural; the first that fits. */
  readonly plurals: readonly {
    readonly ends: readonly string[];
    readonly 'but-not'?: readonly string[] | undefined;
    /** Letters that go from the end. */
    readonly cut?: number | undefined;
    readonly add: string;
  }[];
  /** Words that end the part of a name that can be plural ("tape over the terminals"). */
  readonly 'after-head': readonly string[];
  readonly 'plural-endings': readonly string[];
  readonly 'not-plural-endings': readonly string[];
  /** For "While you hold the fan, lift it out": what may stand between verb and object, and what behind it. */
  readonly 'verb-particles': readonly string[];
  readonly 'after-object': readonly string[];
}

/** Printed signs and units as they are said. */
export interface SpokenForms {
  readonly units: Readonly<Record<string, string>>;
  /** Words behind a unit that show that it does not describe the next noun ("4 mm from the edge"). */
  readonly 'not-described-after-unit': readonly string[];
  readonly range: string;
  readonly 'plus-or-minus': string;
  readonly 'at-most': string;
  readonly 'at-least': string;
  readonly by: string;
  readonly thread: string;
  readonly 'ohm-alone': string;
}

/** What the ear listens for. */
export interface PhraseTable {
  /** Phrase of the job → the ways of saying it, the taught one first. */
  readonly phrases: { readonly [K in keyof (typeof phrases)['phrases']]: readonly string[] };
  /** Words that sound like a phrase and are none, by phrase. */
  readonly decoys: { readonly [K in keyof (typeof phrases)['phrases']]?: readonly string[] };
  /** Between the right and the wrong character of a correction ("five not nine"). */
  readonly not: string;
  /** The optional word before every phrase in loud rooms ("bench, next"). */
  readonly 'attention-word': string;
  /** Spoken unit, lower case → unit as printed. */
  readonly units: Readonly<Record<string, string>>;
  /** Spoken units that the recogniser's vocabulary lacks: they can be typed but not heard. */
  readonly 'unheard-units'?: readonly string[] | undefined;
  /** Other words that are heard for a word of a number or of the alphabet ("zwo": "zwei"). */
  readonly 'other-words'?: Readonly<Record<string, string>> | undefined;
}

export interface LanguageTable {
  readonly language: LanguageFacts;
  readonly page: Texts<typeof page>;
  readonly prompts: Texts<typeof prompts>;
  readonly plan: Texts<typeof plan>;
  readonly findings: Texts<typeof findings>;
  readonly review: Texts<typeof review>;
  readonly reports: Texts<typeof reports>;
  readonly cli: Texts<typeof cli>;
  readonly numbers: NumberWords;
  readonly grammar: GrammarTable;
  readonly spoken: SpokenForms;
  readonly phrases: PhraseTable;
}

/** The files of a language, without their ending. */
export type LanguageFile = keyof LanguageTable;

/** English, which is complete and stands in for what another language lacks. */
export const ENGLISH_TABLE: LanguageTable = {
  language: { ...language, direction: 'ltr' },
  page,
  prompts,
  plan,
  findings,
  review,
  reports,
  cli,
  numbers,
  grammar,
  spoken,
  phrases,
};
