/**
 * The words of every finding about a product file: what is wrong, and how to mend it. One table; the
 * checks carry codes and facts only. `formatDiagnostic` adds the place, the source line and a caret.
 */
import type { Diagnostic, DiagnosticText } from '../base/diagnostic.ts';

type Facts = Diagnostic['facts'];
type Entry = (fact: (name: string) => string, facts: Facts) => readonly [message: string, mend: string];

/** " Did you mean “case-screw”?" where a close word is known. */
function meant(facts: Facts): string {
  return facts.suggestion === undefined ? '' : ` Did you mean “${String(facts.suggestion)}”?`;
}

function unknown(thing: string, list: string): Entry {
  return (fact, facts) => [
    `There is no ${thing} “${fact('id')}”.${meant(facts)}`,
    `Write the id of an entry under \`${list}\`, or add one there.`,
  ];
}

const syntax: Record<string, Entry> = {
  'yaml/too-large': (fact) => [
    `The file has ${fact('characters')} characters; ${fact('limit')} is the limit.`,
    'Split the unit into smaller units, or take out what does not belong into a product file.',
  ],
  'yaml/not-yaml': (fact) => [
    `This is not YAML: ${fact('detail')}.`,
    'Look at this line and the one before it: a missing quote, bracket or colon, or a tab in the indentation.',
  ],
  'yaml/several-documents': () => [
    'The file holds more than one YAML document.',
    'Keep one document; remove the line `---` and what follows it.',
  ],
  'yaml/too-deep': (fact) => [
    `Lists and mappings are nested deeper than ${fact('limit')} levels.`,
    'Bring the file to the layout of the author’s guide; it needs six levels.',
  ],
  'yaml/too-many-nodes': (fact) => [
    `With its aliases written out the file has more than ${fact('limit')} entries.`,
    'Take out the aliases; write each thing once and refer to it by its id.',
  ],
  'yaml/too-many-aliases': (fact) => [
    `The file uses more than ${fact('limit')} aliases.`,
    'Write each thing once and refer to it by its id instead of by `*name`.',
  ],
  'yaml/unknown-alias': (fact) => [
    `The alias “*${fact('name')}” has no anchor.`,
    'Write the value out, or put the text in quotes if it begins with a star.',
  ],
  'yaml/alias-of-itself': (fact) => [
    `The alias “*${fact('name')}” contains itself.`,
    'Write the value out without an alias.',
  ],
  'yaml/tag': (fact) => [
    `The tag “${fact('tag')}” is not read here.`,
    'Remove the tag; put a text that begins with “!” in quotes.',
  ],
  'yaml/key-not-text': (fact) => [
    `The key “${fact('key')}” is not a text.`,
    'Use the keys of the author’s guide; put nothing but a word before the colon.',
  ],
  'yaml/merge-key': () => [
    'Merge keys (`<<`) are not read here.',
    'Write the keys out; use `mirrors:` for the same step on the other side.',
  ],
  'yaml/dangerous-key': (fact) => [`The key “${fact('key')}” is never allowed.`, 'Remove it.'],
  'yaml/duplicate-key': (fact) => [
    `The key “${fact('key')}” is given twice; the first is in line ${fact('first_line')}.`,
    'Keep one of the two.',
  ],
};

const shape: Record<string, Entry> = {
  'product/empty': () => [
    'The file is empty.',
    'Begin with `stepcaller: 1`; the author’s guide shows a whole file.',
  ],
  'product/not-a-mapping': (fact) => [
    `The file holds a ${fact('found')}, not keys with values.`,
    'Begin with `stepcaller: 1`; the author’s guide shows a whole file.',
  ],
  'product/no-format': () => [
    'The file does not say which format it has.',
    'Write `stepcaller: 1` as the first key.',
  ],
  'product/format-not-first': () => [
    '`stepcaller` is not the first key.',
    'Move `stepcaller: 1` to the top of the file.',
  ],
  'product/newer-format': (fact) => [
    `The file has format ${fact('found')}; this program reads format ${fact('known')}.`,
    'Install a newer version of the program. The file was not changed.',
  ],
  'product/missing-key': (fact) => [
    `“${fact('of') || 'The file'}” has no \`${fact('key')}\`.`,
    `Add \`${fact('key')}:\`.`,
  ],
  'product/missing-count': (fact) => [
    `The step “${fact('step')}” does not say how many.`,
    'Add `count:` with the number of pieces that come out; the tray and the last count depend on it.',
  ],
  'product/unknown-key': (fact, facts) => [
    `The key “${fact('key')}” is not known here.${meant(facts)}`,
    fact('key').includes(' ')
      ? 'Put the text before it in quotes: between braces, a comma ends a text without quotes.'
      : `Known here: ${fact('allowed')}.`,
  ],
  'product/wrong-type': (fact) => [
    `${fact('where') || 'The file'} must be ${typeWords(fact('expected'))}, found ${fact('found')} ${fact('value')}.`.replace(
      ' .',
      '.',
    ),
    fact('expected') === 'string' ? 'Put the value in quotes.' : `Write ${typeWords(fact('expected'))}.`,
  ],
  'product/wrong-value': (fact) => [
    `The value “${fact('value')}” does not fit here.`,
    'See the author’s guide for what may stand here.',
  ],
  'product/not-allowed': (fact, facts) => [
    `“${fact('value')}” is not allowed here.${meant(facts)}`,
    `Write one of: ${fact('allowed')}.`,
  ],
  'product/unknown-action': (fact, facts) => [
    `There is no action “${fact('value')}”.${meant(facts)}`,
    `After \`do:\` write one of: ${fact('allowed')}.`,
  ],
  'product/too-few': (fact) => [
    `The list ${fact('where')} needs at least ${fact('minimum')}.`,
    'Add what is missing.',
  ],
  'product/too-many': (fact) => [
    `The list ${fact('where')} has more than ${fact('limit')} entries.`,
    'Split it.',
  ],
  'product/too-long': (fact) => [
    `The text has ${fact('characters')} characters; ${fact('limit')} is the limit.`,
    'Shorten it; it is read aloud.',
  ],
  'product/number-too-small': (fact) => [
    `${fact('value')} is too small; ${fact('inclusive') === 'false' ? 'more than' : 'at least'} ${fact('minimum')} is needed.`,
    'Correct the number, and look at its unit.',
  ],
  'product/number-too-large': (fact) => [
    `${fact('value')} is too large; at most ${fact('maximum')} is allowed.`,
    'Correct the number, and look at its unit.',
  ],
  'product/bad-id': (fact) => [
    `“${fact('value')}” is not an id.`,
    `Use lower-case letters, digits and single hyphens${fact('suggestion') ? `: “${fact('suggestion')}”` : ''}.`,
  ],
  'product/bad-picture-path': (fact) => [
    `“${fact('value')}” is not the path of a picture beside this file (${pathReason(fact('reason'))}).`,
    'Write a relative path with plain characters, below this folder, ending in .png, .jpg, .jpeg or .webp.',
  ],
  'text/blank': () => ['The text is empty.', 'Write the text, or remove the key.'],
  'text/control-character': (fact) => [
    `The text has a control character (${fact('character')}).`,
    'Remove it; write the text in one line.',
  ],
  'text/direction-character': (fact) => [
    `The text has a character that turns the direction of writing (${fact('character')}).`,
    'Remove it.',
  ],
  'text/invisible-character': (fact) => [
    `The text has a character that cannot be seen (${fact('character')}).`,
    'Remove it; type the word again.',
  ],
  'text/broken-character': (fact) => [
    `The text has a character that is none (${fact('character')}).`,
    'Remove it; save the file as UTF-8.',
  ],
  'text/look-alike-character': (fact) => [
    `“${fact('word')}” has a letter of another script (${fact('character')}) that looks like “${fact('like')}”.`,
    'Type the word again with Latin letters.',
  ],
};

const references: Record<string, Entry> = {
  'product/unknown-part': unknown('part', 'parts'),
  'product/unknown-tool': unknown('tool', 'tools'),
  'product/unknown-item': unknown('item', 'items'),
  'product/unknown-fastener': (fact, facts) => [
    `Fasteners “${fact('id')}” are taken off but described nowhere.${meant(facts)}`,
    'Add an entry under `fasteners` with thread, length, head and drive, or write the id of one.',
  ],
  'product/unknown-hazard': unknown('hazard', 'hazards'),
  'product/unknown-consumable': unknown('consumable', 'consumables'),
  'product/unknown-variant': unknown('variant', 'variants'),
  'product/unknown-step': (fact, facts) => [
    `There is no step “${fact('id')}” here.${meant(facts)}`,
    'Write the id of a step that is written out in full.',
  ],
  'product/unknown-answer': (fact, facts) => [
    `“${fact('answer')}” is no answer of the variant “${fact('variant')}”.${meant(facts)}`,
    `Write one of: ${fact('allowed')}.`,
  ],
  'product/same-answer-twice': (fact) => [
    `Two answers of the variant “${fact('variant')}” are the same.`,
    'Make the answers different; they are spoken.',
  ],
  'product/duplicate-id': (fact) => [
    `The ${fact('kind')} id “${fact('id')}” is given twice; the first is in line ${fact('first_line')}.`,
    'Give one of them another id. Keep the older one as it is: recorded times refer to it.',
  ],
  'product/never-used': (fact) => [
    `The ${fact('kind')} “${fact('id')}” is described but never used.`,
    'Refer to it where it belongs, or remove it.',
  ],
  'product/mirror-without-item': (fact) => [
    `The step “${fact('step')}” mirrors “${fact('mirrors')}”, which acts on “${fact('item')}”; the item of this side is not said.`,
    'Add `item:` with the item of this side.',
  ],
};

const order: Record<string, Entry> = {
  'product/needs-cycle': (fact) => [
    `These parts wait for each other: ${fact('path').replaceAll(', ', ' → ')}.`,
    'Remove the need that is not true; one of them comes off first.',
  ],
  'product/never-comes-off': (fact, facts) => [
    `The part “${fact('part')}” can never come off: ${neverReason(fact, facts)}`,
    fact('because') === 'waits' ? 'Mend the last part of the chain.' : 'Add the steps that take it off.',
  ],
  'product/redundant-need': (fact) => [
    fact('need') === fact('through')
      ? `“${fact('part')}” names the need “${fact('need')}” twice.`
      : `“${fact('part')}” needs “${fact('need')}” already through “${fact('through')}”.`,
    `Remove “${fact('need')}” from \`needs\`.`,
  ],
  'product/needs-not-closed': (fact) => [
    `“${fact('carried')}” moves over from “${fact('part')}”, but to get it off, “${fact('missing')}” must be off, and “${fact('part')}” does not need that.`,
    `Add “${fact('missing')}” to \`needs\` of “${fact('part')}”.`,
  ],
  'product/carries-itself': (fact) => [`“${fact('part')}” carries itself.`, 'Remove it from `carries`.'],
  'product/carried-twice': (fact) => [
    `Two parts carry the same part: “${fact('first')}” and “${fact('second')}”.`,
    'Keep it at the part on which it sits.',
  ],
  'product/carries-what-is-off': (fact) => [
    `“${fact('carried')}” is off before “${fact('part')}” comes off, so it does not move over.`,
    'Remove it from `carries`, or from `needs`.',
  ],
  'product/carries-cycle': (fact) => [
    `These parts carry each other: ${fact('path').replaceAll(', ', ' → ')}.`,
    'Remove the one that is not true.',
  ],
  'product/install-cycle': (fact) => [
    `Going back, these parts wait for each other: ${fact('path').replaceAll(', ', ' → ')}.`,
    'Remove the entry under `install_after` that contradicts `needs`.',
  ],
  'product/supports-what-is-off': (fact) => [
    `The step “${fact('step')}” supports “${fact('part')}”, which is off by then.`,
    'Name a part that is still there.',
  ],
  'product/unreachable-part': (fact) => [
    `The part “${fact('part')}” never comes up: it is not replaceable and no replaceable part needs it.`,
    'Make it replaceable, add it to the `needs` of another part, or remove it.',
  ],
  'product/action-out-of-place': (fact) => [
    `The action “${fact('action')}” of step “${fact('step')}” does not belong under \`${fact('list')}\`.`,
    `Use one of: ${fact('allowed')}; or move the step to a part.`,
  ],
  'product/energy-order': (fact) => [
    `The step “${fact('step')}” comes too late: energy is isolated first, then discharged, then verified.`,
    'Bring the steps into that order.',
  ],
  'product/energy-still-on': (fact) => [
    `The step “${fact('step')}” opens a connection while “${fact('source')}” is still in.`,
    `Add “${fact('source')}” to \`needs\` of “${fact('part')}”.`,
  ],
  'product/isolated-not-verified': (fact) => [
    `After the step “${fact('step')}” nothing verifies that the energy is off.`,
    'Add a step `do: verify-dead` with a measurement after it.',
  ],
};

const fasteners: Record<string, Entry> = {
  'product/unknown-thread': (fact) => [
    `“${fact('thread')}” of “${fact('fastener')}” is no metric coarse or fine thread.`,
    'Write “M3” or “M8x1”; the length goes under `length_mm`.',
  ],
  'product/no-length': (fact) => [
    `“${fact('fastener')}” has the length 0.`,
    'Write the nominal length in millimetres.',
  ],
  'product/unusual-drive-size': (fact) => [
    `${fact('drive')} is unusual for ${fact('thread')} (“${fact('fastener')}”); usual: ${fact('usual')}.`,
    'Look at the fastener again: thread, head and size of the drive.',
  ],
  'product/unknown-property-class': (fact) => [
    `The property class “${fact('value')}” is not in the tables.`,
    `Known: ${fact('known')}.`,
  ],
  'product/torque-too-high': (fact) => [
    `${fact('torque_nm')} N·m is more than ${fact('thread')} of class ${fact('class')} bears (${fact('max')} N·m).`,
    'Look at the torque, its unit, and the property class.',
  ],
  'product/torque-too-low': (fact) => [
    `${fact('torque_nm')} N·m is hardly anything for ${fact('thread')} (expected more than ${fact('min')} N·m).`,
    'Look at the unit: torques are in newton metres.',
  ],
  'product/torque-range-crossed': (fact) => [
    `The torque range of “${fact('tool')}” runs from ${fact('low')} to ${fact('high')}.`,
    'Write the smaller value first.',
  ],
  'product/torque-out-of-range': (fact) => [
    `“${fact('tool')}” reaches from ${fact('low')} to ${fact('high')} N·m, but “${fact('fastener')}” takes ${fact('torque_nm')} N·m.`,
    'Name a torque tool with a fitting range under `tighten_tool`.',
  ],
  'product/torque-without-torque-tool': (fact) => [
    `“${fact('fastener')}” has a torque, but “${fact('tool')}” is no torque tool.`,
    'Name a torque tool under `tighten_tool`.',
  ],
  'product/driver-does-not-fit': (fact) => [
    `“${fact('tool')}” (${fact('tool_drive')}) does not fit “${fact('fastener')}” (${fact('fastener_drive')}).`,
    fact('what') === 'kind' ? 'Name a tool of the same kind of drive.' : 'Name a tool of the same size.',
  ],
  'product/no-tool': (fact) => [
    `The step “${fact('step')}” has no tool for “${fact('fastener')}”.`,
    'Add `tool:` to the fastener or to the step.',
  ],
  'product/passes': (fact) => [
    `The passes ${fact('passes')} of step “${fact('step')}” do not rise to 100.`,
    'Write rising percentages that end at 100: `[30, 60, 100]`.',
  ],
  'product/passes-without-torque': (fact) => [
    `The step “${fact('step')}” tightens in passes, but “${fact('fastener')}” has no torque.`,
    'Add `torque_nm` to the fastener.',
  ],
  'product/single-use-not-renewed': (fact) => [
    `“${fact('id')}” may be used once only, but is not renewed on the way back.`,
    'Write `renew: always` at the item and leave `way: both` at the step.',
  ],
  'product/captive-removed': (fact) => [
    `“${fact('fastener')}” is captive and does not come out (step “${fact('step')}”).`,
    'Use `do: loosen-fasteners`.',
  ],
  'product/optional-removal': (fact) => [
    `The step “${fact('step')}” may be skipped, so nobody knows what is in the tray.`,
    'Use a variant with `when:` instead of `optional`.',
  ],
  'product/no-orientation': (fact) => [
    `“${fact('item')}” does not say which way round it goes.`,
    'Add `orientation:`.',
  ],
  'product/no-consumable': (fact) => [
    `“${fact('item')}” is renewed, but nothing is named to renew it with.`,
    'Add `uses:` with the consumables.',
  ],
  'product/item-kind': (fact) => [
    `“${fact('action')}” does not work on a ${fact('kind')} (“${fact('item')}”).`,
    `It works on: ${fact('allowed')}.`,
  ],
  'product/no-route': (fact) => [
    `“${fact('item')}” has no route, and none is noted.`,
    'Add `route:` to the item, or leave out `note_route: false`.',
  ],
  'product/verified-without-measuring': (fact) => [
    `The step “${fact('step')}” verifies without a measurement.`,
    'Add `measure:` with a limit.',
  ],
  'product/measure-without-limits': (fact) => [
    `The measurement “${fact('measure')}” has no limit.`,
    'Add `min:`, `max:` or both.',
  ],
  'product/limits-crossed': (fact) => [
    `The limits of “${fact('measure')}” are crossed: ${fact('min')} to ${fact('max')} ${fact('unit')}.`,
    'Write the smaller value under `min`.',
  ],
  'product/limits-equal': (fact) => [
    `Both limits of “${fact('measure')}” are ${fact('min')} ${fact('unit')}.`,
    'Leave room between them; no instrument reads exactly.',
  ],
  'product/item-taken-twice': (fact) => [
    `The steps “${fact('first_step')}” and “${fact('step')}” both take off “${fact('item')}”.`,
    'Keep one, or use `when:` where they belong to different variants.',
  ],
  'product/fastener-place-shared': (fact) => [
    `Two parts claim the fasteners “${fact('fastener')}” at “${fact('place')}”: steps “${fact('first_step')}” and “${fact('step')}”.`,
    'Name the places apart; a compartment of the tray is one kind of fastener from one place.',
  ],
  'product/fastener-place-repeated': (fact) => [
    `The steps “${fact('first_step')}” and “${fact('step')}” take out “${fact('fastener')}” at one place.`,
    'Put the counts together, or name the places apart.',
  ],
};

const cautions: Record<string, Entry> = {
  'product/caution-after-step': (fact) => [
    fact('step')
      ? `The caution “${fact('hazard')}” stands after its step “${fact('step')}”.`
      : `No step follows the caution “${fact('hazard')}”.`,
    'Put it before the step, or write it under `hazards` of the step.',
  ],
  'product/caution-never-said': (fact) => [
    `The caution “${fact('hazard')}” is never said: step “${fact('step')}” has no way back.`,
    'Remove `hazards_back`, or `way: in`.',
  ],
  'product/caution-twice': (fact) => [
    `The step “${fact('step')}” names the caution “${fact('hazard')}” twice.`,
    'Keep one.',
  ],
  'product/notice-for-injury': (fact) => [
    `“${fact('hazard')}” can hurt somebody; “notice” is for damage to things only.`,
    'Use caution (minor), warning (could kill or hurt seriously) or danger (will).',
  ],
  'product/signal-word-for-damage': (fact) => [
    `“${fact('hazard')}” (${fact('symbol')}) damages things; “${fact('word')}” is for injury.`,
    'Use “notice”, or another symbol if somebody can be hurt.',
  ],
  'product/danger-without-severe-injury': (fact) => [
    `“${fact('hazard')}” is a danger, but its consequence names no death or serious injury.`,
    'Say what happens, or use a lower signal word.',
  ],
};

const texts: Record<string, Entry> = {
  'product/names-sound-alike': (fact) => [
    `“${fact('name')}” sounds like “${fact('other')}”.`,
    'Rename one so that a listener cannot confuse them.',
  ],
  'product/no-expected-time': (fact) => [
    `The step “${fact('step')}” has no expected time.`,
    'Add `expected_s` in seconds.',
  ],
  'product/never-said': (fact) => [
    `\`${fact('key')}\` of step “${fact('step')}” is never said: the step has no way back.`,
    'Remove it, or `way: in`.',
  ],
  'product/lengths-crossed': (fact) => [
    `The record “${fact('record')}” has at least ${fact('min')} and at most ${fact('max')} characters.`,
    'Write the smaller value under `min_length`.',
  ],
  'text/too-many-words': (fact) => [
    `The sentence has ${fact('words')} words; ${fact('limit')} is the limit for an instruction.`,
    'Split it.',
  ],
  'text/several-instructions': (fact) => [
    `The sentence gives several instructions (${fact('verbs')}).`,
    'Write one instruction in each sentence.',
  ],
  'text/noun-cluster': (fact) => [
    `“${fact('cluster')}” is a cluster of more than ${fact('limit')} words.`,
    'Break it up with “of”, “for” or a hyphen.',
  ],
  'product/more-findings': (fact) => [
    `${fact('count')} more findings are not shown.`,
    'Mend the first ones and check again.',
  ],
};

const revisions: Record<string, Entry> = {
  'revision/other-product': (fact) => [
    `The files describe different units: “${fact('old')}” and “${fact('new')}”.`,
    'Compare two revisions of one unit.',
  ],
  'revision/not-raised': (fact) => [
    `The content has changed, but the revision is still ${fact('revision')}.`,
    'Raise `revision`.',
  ],
  'revision/lowered': (fact) => [
    `The revision went from ${fact('old')} down to ${fact('new')}.`,
    'Raise `revision` with every change.',
  ],
  'revision/step-id-changed': (fact) => [
    `The step “${fact('old')}” is now called “${fact('new')}”; its recorded times are lost.`,
    `Write “${fact('old')}” again.`,
  ],
  'revision/step-gone': (fact) => [
    `The step “${fact('step')}” is gone.`,
    'If it still exists under another id, use the old id.',
  ],
  'revision/step-added': (fact) => [`The step “${fact('step')}” is new.`, 'Nothing to mend.'],
  'revision/part-gone': (fact) => [
    `The part “${fact('part')}” is gone.`,
    'If it still exists under another id, use the old id.',
  ],
  'revision/step-does-something-else': (fact) => [
    `The step “${fact('step')}” did “${fact('old')}” and now does “${fact('new')}”; its recorded times do not compare.`,
    'Give the new action an id of its own.',
  ],
};

const WORDS: Readonly<Record<string, Entry>> = {
  ...syntax,
  ...shape,
  ...references,
  ...order,
  ...fasteners,
  ...cautions,
  ...texts,
  ...revisions,
};

/** Every code the checks of a product file can give, in the order of the table. */
export const productCodes: readonly string[] = Object.keys(WORDS);

function typeWords(expected: string): string {
  const words: Readonly<Record<string, string>> = {
    string: 'a text',
    number: 'a number',
    int: 'a whole number',
    boolean: 'true or false',
    array: 'a list',
    object: 'keys with values',
    tuple: 'a list of two numbers',
    step: 'a step with `id` and `do`',
  };
  return words[expected] ?? expected;
}

function pathReason(reason: string): string {
  const words: Readonly<Record<string, string>> = {
    character: 'a character that is not plain',
    scheme: 'it has a scheme or drive letter',
    absolute: 'it is absolute',
    outside: 'it leaves the folder',
    hidden: 'it is hidden',
    ending: 'another kind of file',
  };
  return words[reason] ?? reason;
}

function neverReason(fact: (name: string) => string, facts: Facts): string {
  switch (facts.because) {
    case 'no-steps':
      return 'it has no steps.';
    case 'no-freeing-step':
      return 'none of its steps takes it off.';
    default:
      return `it waits along ${fact('chain').replaceAll(', ', ' → ')}.`;
  }
}

/**
 * Message and mend of every code with the names of the facts in place of their values, for the table in
 * the author's guide.
 */
export function productCodeTable(): readonly {
  readonly code: string;
  readonly message: string;
  readonly mend: string;
}[] {
  return productCodes.map((code) => {
    const [message, mend] = WORDS[code]?.((name) => `{${name}}`, {}) ?? ['', ''];
    return { code, message, mend };
  });
}

/** Longest list that is written out; of longer ones the beginning and the end. */
const LISTED = 30;

function listed(values: readonly string[]): string {
  if (values.length <= LISTED) return values.join(', ');
  const half = LISTED / 2;
  return [...values.slice(0, half), '…', ...values.slice(-half)].join(', ');
}

/** A finding in words. A code that has no words (from another stage) is shown as it is, with its facts. */
export function diagnosticText(diagnostic: Diagnostic): DiagnosticText {
  const entry = WORDS[diagnostic.code];
  const fact = (name: string): string => {
    const value = diagnostic.facts[name];
    if (value === undefined) return '';
    return Array.isArray(value) ? listed(value) : String(value);
  };
  if (!entry) return { message: `${diagnostic.code} ${JSON.stringify(diagnostic.facts)}`, mend: '' };
  const [message, mend] = entry(fact, diagnostic.facts);
  return { message, mend };
}

/** Longest piece of a source line that is shown; longer ones are cut around the caret. */
const SHOWN_COLUMNS = 100;

/**
 * A finding as lines of text: `file:line:column: severity code`, the message, the source line with a caret
 * under the column, and how to mend it. Tabs are shown as single spaces so that the caret stands right.
 */
export function formatDiagnostic(diagnostic: Diagnostic): string {
  const { message, mend } = diagnosticText(diagnostic);
  const { place } = diagnostic;
  const head = `${diagnostic.severity} ${diagnostic.code}`;
  const hint = mend === '' ? [] : [`  mend: ${mend}`];
  if (!place) return [`${head}: ${message}`, ...hint].join('\n');
  const shift = Math.max(0, place.column - SHOWN_COLUMNS + 20);
  // biome-ignore lint/suspicious/noControlCharactersInRegex: control characters must not reach a terminal
  const plain = place.sourceLine.replace(/[\u0000-\u001f\u007f-\u009f]/g, ' ');
  const line = plain.slice(shift, shift + SHOWN_COLUMNS);
  const caret = `${' '.repeat(Math.max(0, Math.min(place.column - 1, plain.length) - shift))}^`;
  const shown = line.trim() === '' ? [] : [`  ${line}`, `  ${caret}`];
  return [`${place.file}:${place.line}:${place.column}: ${head}: ${message}`, ...shown, ...hint].join('\n');
}
