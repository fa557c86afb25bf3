/**
 * What is printed, as it is spoken: "M2.5×8" becomes "M two point five by eight", "0.4 N·m" becomes
 * "zero point four newton metres". For the voice only; the screen shows the printed form. Units, signs and
 * numbers are those of the language's table.
 */
import { ENGLISH, type Language } from '../base/language.ts';
import { compileMessage, type Message, printedIn } from '../base/message.ts';
import { torqueIn } from '../product/torque.ts';

/** `imperial`: torques are spoken in inch pounds (foot pounds from 20 N·m on). */
export interface SpokenOptions {
  readonly imperial?: boolean;
}

/** The patterns of one language, looked up once. */
interface Speech {
  readonly value: RegExp;
  readonly plainNumber: RegExp;
  /** Words after a unit that show that it does not describe the next noun ("4 mm from the edge"). */
  readonly notDescribed: ReadonlySet<string>;
  readonly range: Message;
  readonly by: Message;
  readonly thread: Message;
  readonly group: string;
}

const speechOf = new WeakMap<Language, Speech>();

const THREAD =
  /(?<![\p{L}\p{N}])M(\d+(?:[.,]\d+)?)(?:\s?[×x]\s?(\d+(?:[.,]\d+)?))?(?:\s?[×x]\s?(\d+(?:[.,]\d+)?))?(?![\p{L}\p{N}])/gu;
const DRIVE_SIZE = /(?<![\p{L}\p{N}])(T|PH|PZ)(\d{1,2})(?![\p{L}\p{N}])/gu;

function speech(language: Language): Speech {
  const known = speechOf.get(language);
  if (known !== undefined) return known;
  const { rules, table } = language;
  const { spoken } = table;
  const group = rules.decimal === ',' ? '.' : ',';
  const [point, comma] = [`[${rules.decimal}]`, `[${group}]`];
  const number = String.raw`\d{1,3}(?:${comma}\d{3})+(?:${point}\d+)?|\d+(?:${point}\d+)?`;
  const unit = [...language.units.keys()]
    .sort((a, b) => b.length - a.length)
    .map((name) => name.replace(/[.*+?^${}()|[\]\\/]/g, '\\$&'))
    .join('|');
  const made: Speech = {
    value: new RegExp(
      String.raw`(?<![\p{L}\p{N}.]|[\p{L}\p{N}]-)([-−]?)(${number})(\s?)(${unit})(?![\p{L}\p{N}·/])( [\p{Ll}]+)?`,
      'gu',
    ),
    plainNumber: new RegExp(String.raw`(?<![\p{L}\p{N}.-])([-−]?)(${number})(?![\p{L}\p{N}]|-\p{L})`, 'gu'),
    notDescribed: new Set(spoken['not-described-after-unit']),
    range: compileMessage(spoken.range, rules),
    by: compileMessage(spoken.by, rules),
    thread: compileMessage(spoken.thread, rules),
    group,
  };
  speechOf.set(language, made);
  return made;
}

function numberWords(language: Language, sign: string, figure: string): string {
  const words = language.numbers.printed(figure.replaceAll(speech(language).group, ''));
  return sign === '' ? words : language.numbers.negative(words);
}

function imperialTorque(torque_nm: number): readonly [value: number, unit: string] {
  const unit = torque_nm >= 20 ? 'lbf·ft' : 'lbf·in';
  return [Number(torqueIn(unit, torque_nm).toPrecision(3)), unit];
}

/** A printed number of the language as a number. */
function printedValue(language: Language, figure: string): number {
  return Number(figure.replaceAll(speech(language).group, '').replace(language.rules.decimal, '.'));
}

function spokenValue(
  language: Language,
  options: SpokenOptions,
  sign: string,
  printed: string,
  printedUnit: string,
  next: string,
): string {
  let [figure, unit, value] = [printed, printedUnit, printedValue(language, printed)];
  if (options.imperial === true && (unit === 'N·m' || unit === 'Nm')) {
    [value, unit] = imperialTorque(value);
    figure = printedIn(language.rules, value);
  }
  const describes = next !== '' && !speech(language).notDescribed.has(next.trim());
  const name = language.units.get(unit)?.({ n: describes ? 1 : value }) ?? unit;
  return `${numberWords(language, sign, figure)} ${name}${next}`;
}

/** The text as it is spoken. Plain words stay as they are; unknown signs are left to the voice. */
export function spokenText(text: string, options: SpokenOptions = {}, language: Language = ENGLISH): string {
  const { value, plainNumber, range, by, thread } = speech(language);
  const { spoken } = language.table;
  const { printed } = language.numbers;
  const between = (one: string, other: string): string => by({ one, other });
  return text
    .replace(/[“”"„]/g, '')
    .replace(THREAD, (_, d: string, a: string | undefined, b: string | undefined) =>
      [thread({ size: printed(d) }), ...[a, b].flatMap((x) => (x === undefined ? [] : printed(x)))].reduce(
        between,
      ),
    )
    .replace(DRIVE_SIZE, (_, letters: string, size: string) => `${[...letters].join(' ')} ${printed(size)}`)
    .replace(/(\d)\s?[–]\s?(?=\d)/g, (_, low: string) => `${low}${range({ low: '', high: '' })}`)
    .replace(/(\d)\s?×\s?(?=\d)/g, (_, one: string) => `${one}${by({ one: '', other: '' })}`)
    .replace(/±\s?/g, `${spoken['plus-or-minus']} `)
    .replace(/≤\s?/g, `${spoken['at-most']} `)
    .replace(/≥\s?/g, `${spoken['at-least']} `)
    .replace(value, (_, sign: string, figure: string, _gap: string, unit: string, next: string | undefined) =>
      spokenValue(language, options, sign, figure, unit, next ?? ''),
    )
    .replace(plainNumber, (_, sign: string, figure: string) => numberWords(language, sign, figure))
    .replace(/\bΩ/g, spoken['ohm-alone'])
    .replace(/\s{2,}/g, ' ')
    .trim();
}
