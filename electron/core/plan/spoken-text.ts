/**
 * What is printed, as it is spoken: "M2.5×8" becomes "M two point five by eight", "0.4 N·m" becomes
 * "zero point four newton metres". For the voice only; the screen shows the printed form.
 */
import { torqueIn } from '../product/torque.ts';
import { numberInWords } from './wording.ts';

/** `imperial`: torques are spoken in inch pounds (foot pounds from 20 N·m on). */
export interface SpokenOptions {
  readonly imperial?: boolean;
}

/** Printed unit → singular and plural as spoken. */
const UNITS: Readonly<Record<string, readonly [one: string, many: string]>> = {
  N·m: ['newton metre', 'newton metres'],
  Nm: ['newton metre', 'newton metres'],
  cN·m: ['centinewton metre', 'centinewton metres'],
  lbf·in: ['inch pound', 'inch pounds'],
  lbf·ft: ['foot pound', 'foot pounds'],
  ozf·in: ['inch ounce', 'inch ounces'],
  kgf·cm: ['kilogram-force centimetre', 'kilogram-force centimetres'],
  kV: ['kilovolt', 'kilovolts'],
  V: ['volt', 'volts'],
  mV: ['millivolt', 'millivolts'],
  A: ['ampere', 'amperes'],
  mA: ['milliampere', 'milliamperes'],
  µA: ['microampere', 'microamperes'],
  Ah: ['ampere hour', 'ampere hours'],
  mAh: ['milliampere hour', 'milliampere hours'],
  Ω: ['ohm', 'ohms'],
  mΩ: ['milliohm', 'milliohms'],
  kΩ: ['kilohm', 'kilohms'],
  MΩ: ['megohm', 'megohms'],
  W: ['watt', 'watts'],
  Hz: ['hertz', 'hertz'],
  kHz: ['kilohertz', 'kilohertz'],
  MHz: ['megahertz', 'megahertz'],
  µF: ['microfarad', 'microfarads'],
  '°C': ['degree Celsius', 'degrees Celsius'],
  '°F': ['degree Fahrenheit', 'degrees Fahrenheit'],
  '°': ['degree', 'degrees'],
  µm: ['micrometre', 'micrometres'],
  mm: ['millimetre', 'millimetres'],
  cm: ['centimetre', 'centimetres'],
  m: ['metre', 'metres'],
  N: ['newton', 'newtons'],
  bar: ['bar', 'bar'],
  mbar: ['millibar', 'millibar'],
  Pa: ['pascal', 'pascals'],
  kPa: ['kilopascal', 'kilopascals'],
  MPa: ['megapascal', 'megapascals'],
  'ml/min': ['millilitre per minute', 'millilitres per minute'],
  'l/min': ['litre per minute', 'litres per minute'],
  'l/h': ['litre per hour', 'litres per hour'],
  ml: ['millilitre', 'millilitres'],
  l: ['litre', 'litres'],
  g: ['gram', 'grams'],
  mg: ['milligram', 'milligrams'],
  kg: ['kilogram', 'kilograms'],
  'mg/l': ['milligram per litre', 'milligrams per litre'],
  'mS/cm': ['millisiemens per centimetre', 'millisiemens per centimetre'],
  'µS/cm': ['microsiemens per centimetre', 'microsiemens per centimetre'],
  s: ['second', 'seconds'],
  ms: ['millisecond', 'milliseconds'],
  min: ['minute', 'minutes'],
  h: ['hour', 'hours'],
  rpm: ['revolution per minute', 'revolutions per minute'],
  dB: ['decibel', 'decibels'],
  '%': ['percent', 'percent'],
  NTU: ['turbidity unit', 'turbidity units'],
};

const NUMBER = String.raw`\d{1,3}(?:,\d{3})+(?:\.\d+)?|\d+(?:\.\d+)?`;
const UNIT = Object.keys(UNITS)
  .sort((a, b) => b.length - a.length)
  .map((unit) => unit.replace(/[.*+?^${}()|[\]\\/]/g, '\\$&'))
  .join('|');
const VALUE = new RegExp(
  String.raw`(?<![\p{L}\p{N}.]|[\p{L}\p{N}]-)([-−]?)(${NUMBER})(\s?)(${UNIT})(?![\p{L}\p{N}·/])( [\p{Ll}]+)?`,
  'gu',
);
const THREAD =
  /(?<![\p{L}\p{N}])M(\d+(?:\.\d+)?)(?:\s?[×x]\s?(\d+(?:\.\d+)?))?(?:\s?[×x]\s?(\d+(?:\.\d+)?))?(?![\p{L}\p{N}])/gu;
const DRIVE_SIZE = /(?<![\p{L}\p{N}])(T|PH|PZ)(\d{1,2})(?![\p{L}\p{N}])/gu;
const PLAIN_NUMBER = new RegExp(
  String.raw`(?<![\p{L}\p{N}.-])([-−]?)(${NUMBER})(?![\p{L}\p{N}]|-\p{L})`,
  'gu',
);
/** Words after a unit that show that it does not describe the next noun ("4 mm from the edge"). */
const NOT_A_NOUN =
  /^(and|or|to|plus|at|in|on|of|from|for|with|by|per|is|are|then|than|each|before|after|while|until|again|more|less|apart|long|deep|wide|high|between)$/;

function words(sign: string, figure: string): string {
  return `${sign === '' ? '' : 'minus '}${numberInWords(figure.replaceAll(',', ''))}`;
}

function imperialTorque(figure: string): readonly [string, string] {
  const torque_nm = Number(figure);
  const unit = torque_nm >= 20 ? 'lbf·ft' : 'lbf·in';
  return [String(Number(torqueIn(unit, torque_nm).toPrecision(3))), unit];
}

function spokenValue(
  options: SpokenOptions,
  sign: string,
  printed: string,
  printedUnit: string,
  next: string,
): string {
  const torque = printedUnit === 'N·m' || printedUnit === 'Nm';
  const [figure, unit] =
    options.imperial === true && torque ? imperialTorque(printed) : [printed, printedUnit];
  const [one, many] = UNITS[unit] ?? [unit, unit];
  const describes = next !== '' && !NOT_A_NOUN.test(next.trim());
  const singular = describes || Number(figure.replaceAll(',', '')) === 1;
  return `${words(sign, figure)} ${singular ? one : many}${next}`;
}

/** The text as it is spoken. Plain words stay as they are; unknown signs are left to the voice. */
export function spokenText(text: string, options: SpokenOptions = {}): string {
  return text
    .replace(/[“”"„]/g, '')
    .replace(THREAD, (_, d: string, a: string | undefined, b: string | undefined) =>
      [`M ${numberInWords(d)}`, ...[a, b].flatMap((x) => (x === undefined ? [] : numberInWords(x)))].join(
        ' by ',
      ),
    )
    .replace(
      DRIVE_SIZE,
      (_, letters: string, size: string) => `${[...letters].join(' ')} ${numberInWords(size)}`,
    )
    .replace(/(\d)\s?[–]\s?(?=\d)/g, '$1 to ')
    .replace(/±\s?/g, 'plus or minus ')
    .replace(/≤\s?/g, 'at most ')
    .replace(/≥\s?/g, 'at least ')
    .replace(VALUE, (_, sign: string, figure: string, _gap: string, unit: string, next: string | undefined) =>
      spokenValue(options, sign, figure, unit, next ?? ''),
    )
    .replace(/(\d)\s?×\s?(?=\d)/g, '$1 by ')
    .replace(PLAIN_NUMBER, (_, sign: string, figure: string) => words(sign, figure))
    .replace(/\bΩ/g, 'ohms')
    .replace(/\s{2,}/g, ' ')
    .trim();
}
