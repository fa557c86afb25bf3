/**
 * The sentences of a plan, written from structure in controlled English: imperative, one instruction a
 * sentence, at most 20 words, articles kept. Each kind of action has its own pattern in each direction.
 * The printed form ("M2.5×8", "0.4 N·m") is what stands here; `spoken-text.ts` turns it into words.
 */
import { unreachable } from '../base/result.ts';
import { countWordsSte, MAX_PROCEDURAL_WORDS } from '../product/controlled-english.ts';
import type { Hazard, Measure, Part } from '../product/model.ts';
import type { Draft, FastenerUse } from './draft.ts';
import type { PlanAction, PlanCaution } from './model.ts';
import { looseningOrder, needsRoundPass, passTorques, tighteningOrder } from './tightening.ts';
import { sizedName } from './tray.ts';
import {
  asSentence,
  counted,
  countWord,
  listed,
  looksPlural,
  ordinalWord,
  placed,
  plural,
  printedNumber,
  the,
} from './wording.ts';

/** What a sentence needs beside the draft. */
export interface SentenceContext {
  /** Compartment the fasteners go to or come from; null where there is none. */
  readonly compartment: number | null;
  /** Name of a part, tool or consumable by id. */
  readonly nameOf: (id: string) => string;
  /** The side to turn to, where that is a change. */
  readonly turnTo: string | null;
  /** The tool to take, where that is a change. */
  readonly take: string | null;
}

/** Words of the whole text at most: blanks and hyphens plus one. */
function wordsAtMost(text: string): number {
  let words = 1;
  for (let i = 0; i < text.length; i += 1) {
    const c = text.charCodeAt(i);
    if (c === 32 || c === 45) words += 1;
  }
  return words;
}

/** True where every sentence keeps to the limit, by the stricter way of counting. */
export function fits(text: string): boolean {
  if (wordsAtMost(text) <= MAX_PROCEDURAL_WORDS) return true;
  return countWordsSte(text, 'early').every((words) => words <= MAX_PROCEDURAL_WORDS);
}

/** The wording, or the longer way round where a sentence of it would be too long. */
function fitting(wording: string, otherwise: () => string): string {
  return fits(wording) ? wording : otherwise();
}

function join(...sentences: readonly (string | null | undefined)[]): string {
  let text = '';
  for (const sentence of sentences) {
    if (sentence === null || sentence === undefined || sentence === '') continue;
    text += text === '' ? asSentence(sentence) : ` ${asSentence(sentence)}`;
  }
  return text;
}

/** Figures of an order in groups, so that no sentence holds more than eight. */
function orderSentences(order: readonly number[]): string {
  const groups: string[] = [];
  const size = order.length % 4 === 0 && order.length > 8 ? 4 : 8;
  for (let i = 0; i < order.length; i += size) groups.push(order.slice(i, i + size).join(', '));
  return groups.map((group, i) => (i === 0 ? group : `Then ${group}`)).join('. ');
}

function partName(draft: Draft): string {
  return the(draft.part?.name ?? 'unit');
}

function itThem(isPlural: boolean): string {
  return isPlural ? 'them' : 'it';
}

function areIs(isPlural: boolean): string {
  return isPlural ? 'are' : 'is';
}

function itemName(draft: Draft): string {
  return draft.item?.name ?? 'item';
}

function newItem(name: string): string {
  return looksPlural(name) ? `new ${name}` : `a new ${name}`;
}

function seatedSentence(draft: Draft): string | null {
  return draft.item?.seated === undefined ? null : `Check this: ${draft.item.seated}`;
}

function withCompartment(context: SentenceContext, count: number): string | null {
  if (context.compartment === null) return null;
  return `Put ${itThem(count > 1)} in compartment ${countWord(context.compartment)}`;
}

function looseningSentences(use: FastenerUse): string | null {
  const order = looseningOrder(use.pattern, use.count);
  if (order.length === 0) return null;
  return `Loosen ${itThem(use.count > 1)} in this order: ${orderSentences(order)}`;
}

function removeFasteners(use: FastenerUse, context: SentenceContext): string {
  const name = sizedName(use);
  const bin =
    use.fastener.single_use === true
      ? `Discard ${itThem(use.count > 1)}`
      : withCompartment(context, use.count);
  const from = placed('from', use.place);
  return fitting(join(looseningLead(use), `Remove ${counted(use.count, name)} ${from}`, bin), () =>
    join(
      looseningLead(use),
      `Remove ${counted(use.count, name)}`,
      `${use.count === 1 ? 'It is' : 'They are'} ${placed('on', use.place)}`,
      bin,
    ),
  );
}

/** "Loosen the six bolts in this order: 1, 4, …" before they are taken out. */
function looseningLead(use: FastenerUse): string | null {
  const order = looseningOrder(use.pattern, use.count);
  if (order.length === 0) return null;
  return `First loosen ${counted(use.count, use.fastener.name)} in this order: ${orderSentences(order)}`;
}

function loosenFasteners(use: FastenerUse): string {
  const on = placed('on', use.place);
  const what = counted(use.count, sizedName(use));
  return join(
    fitting(join(`Loosen ${what} ${on}`), () =>
      join(`Loosen ${what}`, `${use.count === 1 ? 'It is' : 'They are'} ${on}`),
    ),
    looseningSentences(use),
    `Do not remove ${itThem(use.count > 1)}`,
  );
}

function installFasteners(draft: Draft, use: FastenerUse, context: SentenceContext): string {
  const name = sizedName(use);
  const compartment = context.compartment === null ? null : `compartment ${countWord(context.compartment)}`;
  const fetch = draft.renew.includes(use.fastener.id)
    ? `Get ${use.count === 1 ? `a new ${name}` : `${countWord(use.count)} new ${plural(name)}`}`
    : compartment === null
      ? null
      : `Take ${counted(use.count, name)} from ${compartment}`;
  const object = fetch === null ? counted(use.count, name) : itThem(use.count > 1);
  const washer = use.fastener.kind === 'washer';
  const onTop = washer || use.fastener.kind === 'nut';
  const start = washer ? `Put ${object} in place` : `Start ${object} by hand`;
  const held = heldPart(draft, context);
  return join(
    fetch,
    whileHolding(
      fitting(join(`${start} ${placed(onTop ? 'on' : 'in', use.place)}`), () =>
        join(start, `The place: ${use.place}`),
      ),
      held,
    ),
    use.what === 'in-and-tight' && !washer ? tightenFasteners(use, true) : null,
  );
}

/** Torque as printed in a sentence: "0.4 N·m". */
export function torqueText(torque_nm: number): string {
  return `${printedNumber(torque_nm)} N·m`;
}

function tightenFasteners(use: FastenerUse, started: boolean): string {
  const torque = use.fastener.torque_nm ?? null;
  const order = tighteningOrder(use.pattern, use.count);
  const passes = passTorques(torque, use.passes);
  const what = started ? itThem(use.count > 1) : counted(use.count, sizedName(use));
  if (passes.length <= 1) {
    const to = torque === null ? '' : ` to ${torqueText(torque)}`;
    return join(
      `Tighten ${what}${to}`,
      order.length === 0 ? null : `Keep to this order: ${orderSentences(order)}`,
      use.passes === undefined || torque !== null ? null : 'Tighten in even steps',
    );
  }
  return join(
    `Tighten ${what} in ${countWord(passes.length)} passes`,
    order.length === 0 ? null : `Keep to this order in each pass: ${orderSentences(order)}`,
    ...passes.map((nm, i) => `${ordinalWord(i + 1)} pass: ${torqueText(nm)}`),
    needsRoundPass(use.pattern, passes.length)
      ? `Then go round once more in number order at ${torqueText(passes[passes.length - 1] ?? 0)}`
      : null,
  );
}

/** "It must be from 4.9 V to 5.1 V." */
export function limitsSentence(measure: Measure): string | null {
  const decimals = measure.decimals ?? 2;
  const figure = (x: number): string => `${printedNumber(x, Math.max(decimals, 3))} ${measure.unit}`;
  const { min, max } = measure;
  if (min !== undefined && max !== undefined) return `It must be from ${figure(min)} to ${figure(max)}`;
  if (min !== undefined) return `It must be at least ${figure(min)}`;
  if (max !== undefined) return `It must be at most ${figure(max)}`;
  return null;
}

function measureSentences(measure: Measure): string {
  return join(`Measure ${the(measure.name)}`, limitsSentence(measure), 'Say the reading');
}

/** "Put silicone grease on the new O-ring." for each consumable that a seal takes. */
function lubricantSentences(draft: Draft, context: SentenceContext): readonly string[] {
  const uses = draft.item?.uses ?? [];
  const isNew = draft.item !== null && draft.renew.includes(draft.item.id);
  const name = itemName(draft);
  return uses.map((id) => `Put ${context.nameOf(id)} on ${isNew ? `the new ${name}` : the(name)}`);
}

function sealBack(draft: Draft, context: SentenceContext): string {
  const name = itemName(draft);
  const isNew = draft.item !== null && draft.renew.includes(draft.item.id);
  const lubricant = lubricantSentences(draft, context);
  const fitted = isNew ? (lubricant.length === 0 ? newItem(name) : `the new ${name}`) : the(name);
  return join(
    'Make sure that the groove is clean',
    ...lubricant,
    `Fit ${fitted}`,
    `Make sure that ${looksPlural(name) ? 'they are' : 'it is'} not twisted`,
    seatedSentence(draft),
  );
}

function compoundOf(draft: Draft, context: SentenceContext): string {
  const uses = draft.item?.uses ?? [];
  const first = uses[0];
  return first === undefined ? itemName(draft) : context.nameOf(first);
}

function heldPart(draft: Draft, context: SentenceContext): { name: string; plural: boolean } | null {
  const id = draft.step?.supporting;
  if (id === undefined) return null;
  const name = context.nameOf(id);
  return { name, plural: draft.part?.id === id ? draft.part.plural : looksPlural(name) };
}

/** Text of the action itself, before "while you hold", tool and side are put in front. */
function actionText(draft: Draft, context: SentenceContext): string {
  const isPlural = draft.part?.plural ?? false;
  const part = partName(draft);
  const item = the(itemName(draft));
  const itemPlural = looksPlural(itemName(draft));
  const renewed = draft.item !== null && draft.renew.includes(draft.item.id);
  const action = draft.step?.action;
  const { use } = draft;
  const kind: PlanAction = draft.action;
  switch (kind) {
    case 'remove-fasteners':
      return use === null ? '' : use.what === 'loosen' ? loosenFasteners(use) : removeFasteners(use, context);
    case 'loosen-fasteners':
      return use === null ? '' : loosenFasteners(use);
    case 'install-fasteners':
      return use === null ? '' : installFasteners(draft, use, context);
    case 'tighten-fasteners':
      return use === null ? '' : tightenFasteners(use, false);
    case 'disconnect':
      return join(`Disconnect ${item}`);
    case 'connect':
      return join(
        `Connect ${item}`,
        `Push ${itThem(itemPlural)} in until ${itemPlural ? 'they are' : 'it is'} fully seated`,
        seatedSentence(draft),
      );
    case 'release-ribbon':
      return join(
        'Look which side the contacts face',
        `Lift the locking bar of ${item}`,
        'Pull the ribbon straight out',
      );
    case 'insert-ribbon':
      return join(
        `Make sure that the contacts of ${item} face the correct side`,
        'Insert the ribbon square, up to its depth line',
        'Close the locking bar',
        seatedSentence(draft),
      );
    case 'peel-tape':
      return join(
        `Peel off ${item} slowly`,
        draft.item?.renew === 'always' ? `Discard ${itThem(itemPlural)}` : null,
      );
    case 'apply-tape':
      if (renewed)
        return join(`Apply ${newItem(itemName(draft))}`, 'Press it down firmly', seatedSentence(draft));
      return join(
        `Apply ${item} again`,
        draft.item?.renew === 'if-needed' ? 'If it does not hold, use new tape' : null,
        'Press it down firmly',
        seatedSentence(draft),
      );
    case 'pull-strips': {
      const count = action?.kind === 'pull-strips' ? action.count : 1;
      return join(
        count === 1
          ? `Pull out ${item}`
          : `Pull out the ${countWord(count)} ${stripNoun(draft)} one at a time`,
        'Pull slowly, at a low angle',
        `Discard ${itThem(count > 1)}`,
      );
    }
    case 'bond-strips': {
      const count = action?.kind === 'pull-strips' ? action.count : 1;
      return join(
        count === 1
          ? `Bond ${newItem(itemName(draft))} to ${part}`
          : `Bond ${countWord(count)} new ${stripNoun(draft)} to ${part}`,
        draft.item?.orientation === undefined ? null : `Use this orientation: ${draft.item.orientation}`,
        isSetDownAfterBonding(draft.part) ? null : `Press ${part} down firmly`,
        seatedSentence(draft),
      );
    }
    case 'take-out-seal':
      return join(
        `Take out ${item}`,
        draft.item !== null && draft.item.renew !== 'never' && draft.item.renew !== 'if-needed'
          ? `Discard ${itThem(itemPlural)}`
          : null,
        'Do not scratch the groove',
      );
    case 'fit-seal':
      return sealBack(draft, context);
    case 'note-route':
      return join(`Look at the route of ${item}`, 'Say “note” and describe the route');
    case 'unroute':
      return action?.kind === 'unroute' && action.partly
        ? join(
            `Take a part of ${item} out of ${itemPlural ? 'their' : 'its'} channel`,
            'Leave the rest in place',
          )
        : join(`Take ${item} out of ${itemPlural ? 'their' : 'its'} channel`);
    case 'route':
      return join(
        `Put ${item} back in ${itemPlural ? 'their' : 'its'} channel`,
        draft.item?.route === undefined ? null : `The route: ${draft.item.route}`,
        draft.noteItem === null ? null : 'Compare it with the route that you noted',
        `Make sure that ${itemPlural ? 'they are' : 'it is'} not pinched`,
        seatedSentence(draft),
      );
    case 'lift-off-pins':
      return join(`Lift ${part} straight off ${isPlural ? 'their' : 'its'} alignment pins`);
    case 'seat-on-pins':
      return join(
        `Align ${part} with the alignment pins`,
        `Push ${itThem(isPlural)} down until ${isPlural ? 'they are' : 'it is'} seated`,
      );
    case 'open-arms':
      return join('Push the two arms outward', `Pull out ${part} by the edges`);
    case 'press-in':
      return join(
        `Align the notch of ${part} with the key`,
        `Press ${itThem(isPlural)} in until the two arms lock`,
      );
    case 'slide-out':
      return join(`Slide out ${part}`);
    case 'slide-in':
      return join(`Slide in ${part} fully`);
    case 'unclip': {
      const count = action?.kind === 'unclip' ? action.count : 1;
      return join(`Release ${counted(count, 'clip')} of ${part}`);
    }
    case 'clip': {
      const count = action?.kind === 'unclip' ? action.count : 1;
      return join(
        `Clip ${part} in place`,
        count === 1 ? 'Make sure that the clip locks' : `Make sure that all ${countWord(count)} clips lock`,
      );
    }
    case 'part-edges':
      return join(`Open a gap at the edges of ${part}`, 'Work round slowly');
    case 'press-edges':
      return join(`Press the edges of ${part} together all round`, 'Make sure that there is no gap');
    case 'lift-out':
      return join(`Lift out ${part}`);
    case 'put-in':
      return join(
        `Put ${part} in place`,
        isSetDownAfterBonding(draft.part) ? `Press ${itThem(isPlural)} down firmly` : null,
      );
    case 'separate-heat-sink':
      return join(
        `Separate ${part} with a slow twist`,
        `Remove the old ${itemName(draft)} from the two faces`,
      );
    case 'fit-heat-sink':
      return join(`Apply new ${compoundOf(draft, context)}`, `Seat ${part} flat`, seatedSentence(draft));
    case 'open-to-angle': {
      const angle = action?.kind === 'open-to-angle' ? action.angle_deg : 90;
      return join(`Open ${part} to ${printedNumber(angle)}°`, `Do not open ${itThem(isPlural)} further`);
    }
    case 'close':
      return join(`Close ${part}`);
    case 'support':
      return join(`Hold ${part} so that ${isPlural ? 'they cannot' : 'it cannot'} fall`);
    case 'isolate':
      return join(
        `Isolate ${the(what(draft))}`,
        `Make sure that ${looksPlural(what(draft)) ? 'they' : 'it'} cannot come on again`,
      );
    case 'discharge':
      return join(`Discharge ${the(what(draft))}`, measured(draft));
    case 'verify-dead':
      return join(
        draft.measure === null
          ? `Make sure that ${the(what(draft))} ${areIs(looksPlural(what(draft)))} dead`
          : null,
        measured(draft),
      );
    case 'restore-energy':
      return join(`Restore ${the(what(draft))}`);
    case 'inspect':
      return join(`Examine ${the(what(draft))}`);
    case 'clean':
      return cleanText(draft, context);
    case 'measure':
      return draft.measure === null ? '' : measureSentences(draft.measure);
    case 'record':
      return draft.record === null
        ? ''
        : join(`Read ${the(draft.record.name)}`, 'Say “serial is” and spell it');
    case 'do':
      return join(what(draft));
    case 'fetch-new-part':
    case 'move-over':
    case 'count-tray':
      return join(draft.say);
    default:
      return unreachable(kind, 'actionText');
  }
}

/** True where the part is put down on strips bonded to it before, so that it is pressed down then. */
function isSetDownAfterBonding(part: Part | null): boolean {
  return (
    part?.steps.some(
      (s, i) => s.action.kind === 'pull-strips' && part.steps[i + 1]?.action.kind === 'lift-out',
    ) ?? false
  );
}

function stripNoun(draft: Draft): string {
  const name = itemName(draft);
  return looksPlural(name) ? name : `${name}s`;
}

function measured(draft: Draft): string | null {
  return draft.measure === null ? null : measureSentences(draft.measure);
}

function what(draft: Draft): string {
  const action = draft.step?.action;
  return action !== undefined && 'what' in action ? action.what : partName(draft);
}

function cleanText(draft: Draft, context: SentenceContext): string {
  if (draft.step?.action.kind !== 'clean') {
    const face = draft.step?.action.kind === 'separate-heat-sink' ? 'the two faces' : 'the two bonding faces';
    return join(`Clean ${face} of ${partName(draft)}`, 'Let them dry');
  }
  const names = draft.renew.map((id) => context.nameOf(id));
  const withWhat = names.length === 0 ? '' : ` with ${listed(names)}`;
  return fitting(join(`Clean ${the(what(draft))}${withWhat}`), () =>
    join(`Clean ${the(what(draft))}`, `Use ${listed(names)}`),
  );
}

/** Puts "While you hold the display," in front of the first sentence; apart where that gets too long. */
function whileHolding(text: string, held: { name: string; plural: boolean } | null): string {
  if (held === null) return text;
  const name = the(held.name);
  // The part held is not named twice: "While you hold the fan, lift it out" reads better.
  const escaped = name.replace(/[.*+?^${}()|[\]\\]/g, '\\$&');
  const asObject = new RegExp(
    `^(\\p{L}+ (?:in |out |up )?)${escaped}(?=(?: to| from| fully| straight)\\b|[.,]|$)`,
    'u',
  );
  const rest = text.replace(asObject, `$1${itThem(held.plural)}`);
  const lowered = rest.charAt(0).toLowerCase() + rest.slice(1);
  return fitting(`While you hold ${name}, ${lowered}`, () => join(`Hold ${name}`, text));
}

/** The whole text of a step: turn, tool, then the action (or the author's own sentence). */
export function stepText(draft: Draft, context: SentenceContext): string {
  const own = draft.say === null ? null : asSentence(draft.say);
  const held = draft.action === 'install-fasteners' ? null : heldPart(draft, context);
  const core = own ?? whileHolding(actionText(draft, context), held);
  return join(
    context.turnTo === null ? null : `Turn the unit so that the ${context.turnTo} faces you`,
    context.take === null ? null : `Take ${the(context.take)}`,
    core,
  );
}

/** A hazard as it is shown and spoken: signal word, hazard, consequence, how to avoid it. */
export function cautionOf(hazard: Hazard): PlanCaution {
  const { id, word, hazard: what, consequence, avoid, symbol } = hazard;
  const lead = word.charAt(0).toUpperCase() + word.slice(1);
  return {
    id,
    word,
    hazard: what,
    consequence,
    avoid,
    symbol,
    say: `${lead}. ${[what, consequence, avoid].map(asSentence).join(' ')}`,
  };
}

const SEVERITY = ['danger', 'warning', 'caution', 'notice'] as const;

/** Cautions most severe first; equal ones keep their order. */
export function bySeverity(cautions: readonly PlanCaution[]): readonly PlanCaution[] {
  return [...cautions].sort((a, b) => SEVERITY.indexOf(a.word) - SEVERITY.indexOf(b.word));
}
