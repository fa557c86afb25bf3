/**
 * Patterns of messages: plain text with named places, in the part of ICU MessageFormat that translators
 * know and their tools check.
 *
 *     {name}                                            a fact, as it is
 *     {n, number, integer}                              a number, rounded to a whole one
 *     {n, plural, =0 {none} one {# step} other {# steps}}   by the plural rules of the language
 *     {kind, select, screw {it} other {them}}           by the value of a fact; `none` where it is missing
 *
 * `#` is the number of the plural around it. `other` must be there. A brace that is meant as a sign is
 * written '{' in apostrophes, an apostrophe twice (''); one that stands alone needs nothing.
 *
 * A pattern is compiled once and then only put together, because a plan has thousands of sentences.
 */
import { err, ok, type Result } from './result.ts';

export type Fact = string | number | boolean | null | undefined | readonly (string | number)[];
export type Facts = Readonly<Record<string, Fact>>;
/** A compiled pattern. A place without its fact becomes nothing. */
export type Message = (facts?: Facts) => string;

/** How a language writes numbers and tells its plurals apart. */
export interface NumberRules {
  /** "." or ",". */
  readonly decimal: string;
  /** The plural category of a number: zero, one, two, few, many or other. */
  readonly category: (value: number) => string;
}

/** Patterns nested deeper than this are refused. */
const MAX_DEPTH = 5;
/** Plural categories of whole numbers below this are looked up once. */
const CACHED_NUMBERS = 200;

type Piece =
  | { readonly kind: 'text'; readonly text: string }
  | { readonly kind: 'fact'; readonly name: string; readonly integer: boolean }
  | { readonly kind: 'number-sign' }
  | {
      readonly kind: 'plural' | 'select';
      readonly name: string;
      readonly arms: ReadonlyMap<string, readonly Piece[]>;
    };

/** Number rules of a language tag, by the language data of the runtime. An unknown tag counts as English. */
export function numberRules(tag: string): NumberRules {
  const known = isKnownTag(tag) ? tag : 'en';
  const rules = new Intl.PluralRules(known);
  const parts = new Intl.NumberFormat(known, { numberingSystem: 'latn' }).formatToParts(1.5);
  const small: string[] = [];
  return {
    decimal: parts.find((part) => part.type === 'decimal')?.value ?? '.',
    category: (value) => {
      if (!Number.isInteger(value) || value < 0 || value >= CACHED_NUMBERS) return rules.select(value);
      let category = small[value];
      if (category === undefined) {
        category = rules.select(value);
        small[value] = category;
      }
      return category;
    },
  };
}

function isKnownTag(tag: string): boolean {
  try {
    return Intl.getCanonicalLocales(tag).length === 1;
  } catch {
    return false; // not a language tag: whoever checks the table tells so
  }
}

/** A number as a language writes it: no groups of thousands, its own decimal sign. */
export function printedIn(rules: Pick<NumberRules, 'decimal'>, value: number): string {
  const text = String(value);
  return rules.decimal === '.' ? text : text.replace('.', rules.decimal);
}

class Reader {
  private at = 0;
  constructor(private readonly pattern: string) {}

  /** Pieces up to the end, or up to the brace that closes an arm. */
  pieces(depth: number, inPlural: boolean): readonly Piece[] {
    if (depth > MAX_DEPTH) throw new Error('nested too deep');
    const found: Piece[] = [];
    let text = '';
    const flush = (): void => {
      if (text !== '') found.push({ kind: 'text', text });
      text = '';
    };
    while (this.at < this.pattern.length) {
      const sign = this.pattern.charAt(this.at);
      if (sign === '}') break;
      if (sign === '{') {
        flush();
        found.push(this.place(depth, inPlural));
      } else if (sign === '#' && inPlural) {
        flush();
        found.push({ kind: 'number-sign' });
        this.at += 1;
      } else if (sign === "'") text += this.quoted();
      else {
        text += sign;
        this.at += 1;
      }
    }
    flush();
    return found;
  }

  isAtEnd(): boolean {
    return this.at >= this.pattern.length;
  }

  /** At an apostrophe: a quoted brace, a doubled apostrophe, or just itself. */
  private quoted(): string {
    const next = this.pattern.charAt(this.at + 1);
    if (next === "'") {
      this.at += 2;
      return "'";
    }
    const end = this.pattern.indexOf("'", this.at + 1);
    if ((next === '{' || next === '}') && end > 0) {
      const text = this.pattern.slice(this.at + 1, end);
      this.at = end + 1;
      return text;
    }
    this.at += 1;
    return "'";
  }

  private word(what: string): string {
    const match = /^\s*([\p{L}\p{N}_=.-]+)\s*/u.exec(this.pattern.slice(this.at));
    if (match?.[1] === undefined) throw new Error(`${what} is missing at character ${this.at + 1}`);
    this.at += match[0].length;
    return match[1];
  }

  private expect(sign: string): void {
    if (this.pattern.charAt(this.at) !== sign)
      throw new Error(`"${sign}" is missing at character ${this.at + 1}`);
    this.at += 1;
  }

  private place(depth: number, inPlural: boolean): Piece {
    this.expect('{');
    const name = this.word('the name of a place');
    if (this.pattern.charAt(this.at) === '}') {
      this.at += 1;
      return { kind: 'fact', name, integer: false };
    }
    this.expect(',');
    const kind = this.word('number, plural or select');
    if (kind === 'number') {
      this.expect(',');
      if (this.word('integer') !== 'integer') throw new Error('only "number, integer" is known');
      this.expect('}');
      return { kind: 'fact', name, integer: true };
    }
    if (kind !== 'plural' && kind !== 'select') throw new Error(`"${kind}" is not known`);
    this.expect(',');
    const arms = new Map<string, readonly Piece[]>();
    while (/^\s*[^\s}]/.test(this.pattern.slice(this.at))) {
      const arm = this.word('the name of a case');
      this.expect('{');
      arms.set(arm, this.pieces(depth + 1, inPlural || kind === 'plural'));
      this.expect('}');
    }
    this.at += /^\s*/.exec(this.pattern.slice(this.at))?.[0].length ?? 0;
    this.expect('}');
    if (!arms.has('other')) throw new Error(`{${name}, ${kind}, …} has no case "other"`);
    return { kind, name, arms };
  }
}

function read(pattern: string): Result<readonly Piece[], string> {
  try {
    const reader = new Reader(pattern);
    const pieces = reader.pieces(0, false);
    return reader.isAtEnd() ? ok(pieces) : err('a "}" has no "{"');
  } catch (thrown) {
    return err(thrown instanceof Error ? thrown.message : String(thrown));
  }
}

/** Names of the places of a pattern, each once, sorted. Error: what is wrong with the pattern, in English. */
export function placesOf(pattern: string): Result<readonly string[], string> {
  const pieces = read(pattern);
  if (!pieces.ok) return pieces;
  const names = new Set<string>();
  const visit = (list: readonly Piece[]): void => {
    for (const piece of list) {
      if (piece.kind === 'fact' || piece.kind === 'plural' || piece.kind === 'select') names.add(piece.name);
      if (piece.kind === 'plural' || piece.kind === 'select')
        for (const arm of piece.arms.values()) visit(arm);
    }
  };
  visit(pieces.value);
  return ok([...names].sort());
}

type Part = (facts: Facts, counted: number) => string;

function shown(fact: Fact, rules: NumberRules): string {
  if (typeof fact === 'string') return fact;
  if (typeof fact === 'number') return printedIn(rules, fact);
  if (fact === undefined || fact === null) return '';
  if (typeof fact === 'boolean') return String(fact);
  return fact.map((one) => (typeof one === 'number' ? printedIn(rules, one) : one)).join(', ');
}

/** The case of a select that a fact stands for; a fact that is missing or empty is `none`. */
function caseOf(fact: Fact): string {
  if (fact === undefined || fact === null || fact === '') return 'none';
  if (typeof fact === 'object') return fact.length === 0 ? 'none' : 'other';
  return String(fact);
}

function partOf(piece: Piece, rules: NumberRules): Part {
  switch (piece.kind) {
    case 'text':
      return () => piece.text;
    case 'number-sign':
      return (_, counted) => (Number.isNaN(counted) ? '' : printedIn(rules, counted));
    case 'fact': {
      const { name, integer } = piece;
      return integer
        ? (facts) => printedIn(rules, Math.round(Number(facts[name])))
        : (facts) => shown(facts[name], rules);
    }
    case 'select': {
      const { name } = piece;
      const arms = compiledArms(piece.arms, rules);
      const other = arms.get('other') ?? (() => '');
      return (facts, counted) => (arms.get(caseOf(facts[name])) ?? other)(facts, counted);
    }
    case 'plural': {
      const { name } = piece;
      const arms = compiledArms(piece.arms, rules);
      const other = arms.get('other') ?? (() => '');
      return (facts) => {
        const count = Number(facts[name]);
        const arm = arms.get(`=${count}`) ?? arms.get(rules.category(count)) ?? other;
        return arm(facts, count);
      };
    }
  }
}

function compiledArms(
  arms: ReadonlyMap<string, readonly Piece[]>,
  rules: NumberRules,
): ReadonlyMap<string, Part> {
  return new Map([...arms].map(([name, pieces]) => [name, joined(pieces, rules)]));
}

function joined(pieces: readonly Piece[], rules: NumberRules): Part {
  const parts = pieces.map((piece) => partOf(piece, rules));
  const [first, second, third] = parts;
  if (first === undefined) return () => '';
  if (second === undefined) return first;
  if (parts.length === 2) return (facts, counted) => first(facts, counted) + second(facts, counted);
  if (parts.length === 3 && third !== undefined)
    return (facts, counted) => first(facts, counted) + second(facts, counted) + third(facts, counted);
  return (facts, counted) => {
    let text = '';
    for (const part of parts) text += part(facts, counted);
    return text;
  };
}

const NO_FACTS: Facts = {};

/**
 * The pattern, ready to be filled. It is read at its first use, so that a table costs nothing until then.
 * A pattern that cannot be read is shown as it stands; the check of a language table reports it before.
 */
export function compileMessage(pattern: string, rules: NumberRules): Message {
  if (!/[{}'#]/.test(pattern)) return () => pattern;
  let part: Part | undefined;
  return (facts = NO_FACTS) => {
    if (part === undefined) {
      const pieces = read(pattern);
      part = pieces.ok ? joined(pieces.value, rules) : () => pattern;
    }
    return part(facts, Number.NaN);
  };
}
