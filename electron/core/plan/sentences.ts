/**
 * The sentences of a plan, written from structure in controlled English: imperative, one instruction a
 * sentence, at most 20 words, articles kept. Each kind of action has its own pattern in each direction.
 * The printed form ("M2.5×8", "0.4 N·m") is what stands here; `spoken-text.ts` turns it into words.
 */
import { unreachable } from '../base/result.ts';
import type { Hazard, Measure, Part } from '../product/model.ts';
import type { Draft } from './draft.ts';
import {
  installFasteners,
  loosenFasteners,
  removeFasteners,
  tightenFasteners,
} from './fastener-sentences.ts';
import type { PlanAction, PlanCaution } from './model.ts';
import { fitting, heldPart, itThem, join, type SentenceContext, whileHolding } from './sentence-frame.ts';
import { asSentence, counted, countWord, listed, looksPlural, printedNumber, the } from './wording.ts';

export { torqueText } from './fastener-sentences.ts';
export { fits, type SentenceContext } from './sentence-frame.ts';

function partName(draft: Draft): string {
  return the(draft.part?.name ?? 'unit');
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
