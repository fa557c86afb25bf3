/**
 * The sentences of a plan, written from structure in controlled English: imperative, one instruction a
 * sentence, at most 20 words, articles kept. Each kind of action has its own patterns in each direction;
 * they stand in the language's table (`plan.json`), what is put into them is chosen here. The printed form
 * ("M2.5×8", "0.4 N·m") is what comes out; `spoken-text.ts` turns it into words.
 */
import type { Language } from '../base/language.ts';
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
import { fitting, heldPart, join, joinAll, type SentenceContext, whileHolding } from './sentence-frame.ts';
import {
  asSentence,
  counted,
  countWord,
  type GrammaticalNumber,
  listed,
  looksPlural,
  newOne,
  numberOf,
  printedNumber,
  the,
  theNew,
} from './wording.ts';

export { fits, type SentenceContext } from './sentence-frame.ts';

function itemName(draft: Draft, language: Language): string {
  return draft.item?.name ?? language.plan.item();
}

function isRenewed(draft: Draft): boolean {
  return draft.item !== null && draft.renew.includes(draft.item.id);
}

function seatedSentence(draft: Draft, language: Language): string | null {
  const seated = draft.item?.seated;
  return seated === undefined ? null : language.plan.seated({ seated });
}

/** "It must be from 4.9 V to 5.1 V." */
export function limitsSentence(measure: Measure, language: Language): string | null {
  const words = language.plan;
  const decimals = Math.max(measure.decimals ?? 2, 3);
  const figure = (x: number): string =>
    words['value-with-unit']({ value: printedNumber(language, x, decimals), unit: measure.unit });
  const { min, max } = measure;
  if (min !== undefined && max !== undefined)
    return words['limits.between']({ min: figure(min), max: figure(max) });
  if (min !== undefined) return words['limits.least']({ min: figure(min) });
  if (max !== undefined) return words['limits.most']({ max: figure(max) });
  return null;
}

function measureSentences(measure: Measure, language: Language): string {
  const words = language.plan;
  return join(
    words.measure({ name: the(language, measure.name) }),
    limitsSentence(measure, language),
    words['measure.say'](),
  );
}

function measured(draft: Draft, language: Language): string | null {
  return draft.measure === null ? null : measureSentences(draft.measure, language);
}

/** "Read the serial number. Say …": for a record of the product file, and for those the planner adds. */
export function recordSentences(name: string, language: Language): string {
  return join(language.plan['record.read']({ name }), language.plan['record.say']());
}

function sealBack(draft: Draft, context: SentenceContext): string {
  const { language } = context;
  const words = language.plan;
  const name = itemName(draft, language);
  const isNew = isRenewed(draft);
  const item = isNew ? theNew(language, name) : the(language, name);
  // "Put silicone grease on the new O-ring." for each consumable that the seal takes.
  const lubricants = (draft.item?.uses ?? []).map((id) =>
    words['seal.lubricate']({ lubricant: context.nameOf(id), item }),
  );
  return joinAll([
    words['seal.clean-groove'](),
    ...lubricants,
    words['seal.fit']({ item: isNew && lubricants.length === 0 ? newOne(language, name) : item }),
    words['seal.not-twisted']({ number: numberOf(looksPlural(language, name)) }),
    seatedSentence(draft, language),
  ]);
}

function compoundOf(draft: Draft, context: SentenceContext): string {
  const first = draft.item?.uses?.[0];
  return first === undefined ? itemName(draft, context.language) : context.nameOf(first);
}

function itemNumber({ item }: Draft, language: Language): GrammaticalNumber {
  return numberOf(item !== null && looksPlural(language, item.name));
}

/** Text of the action itself, before "while you hold", tool and side are put in front. */
function actionText(draft: Draft, context: SentenceContext): string {
  const { use } = draft;
  const kind: PlanAction = draft.action;
  switch (kind) {
    case 'remove-fasteners':
      if (use === null) return '';
      return use.what === 'loosen' ? loosenFasteners(use, context) : removeFasteners(use, context);
    case 'loosen-fasteners':
      return use === null ? '' : loosenFasteners(use, context);
    case 'install-fasteners':
      return use === null ? '' : installFasteners(draft, use, context);
    case 'tighten-fasteners':
      return use === null ? '' : tightenFasteners(use, false, context);
    case 'disconnect':
    case 'connect':
    case 'release-ribbon':
    case 'insert-ribbon':
    case 'peel-tape':
    case 'apply-tape':
    case 'pull-strips':
    case 'bond-strips':
    case 'take-out-seal':
    case 'fit-seal':
    case 'note-route':
    case 'unroute':
    case 'route':
      return itemText(kind, draft, context);
    case 'isolate':
    case 'discharge':
    case 'verify-dead':
    case 'restore-energy':
    case 'inspect':
    case 'clean':
    case 'measure':
    case 'record':
    case 'do':
      return careText(kind, draft, context);
    case 'fetch-new-part':
    case 'move-over':
    case 'count-tray':
    case 'ask-variant':
      return join(draft.say);
    default:
      return partText(kind, draft, context);
  }
}

type ItemAction =
  | 'disconnect'
  | 'connect'
  | 'release-ribbon'
  | 'insert-ribbon'
  | 'peel-tape'
  | 'apply-tape'
  | 'pull-strips'
  | 'bond-strips'
  | 'take-out-seal'
  | 'fit-seal'
  | 'note-route'
  | 'unroute'
  | 'route';

/** Connectors, tapes, strips, seals and cables. */
function itemText(kind: ItemAction, draft: Draft, context: SentenceContext): string {
  const { language } = context;
  const words = language.plan;
  const item = the(language, itemName(draft, language));
  const action = draft.step?.action;
  switch (kind) {
    case 'disconnect':
      return join(words.disconnect({ item }));
    case 'connect':
      return join(
        words.connect({ item }),
        words['connect.push']({ number: itemNumber(draft, language) }),
        seatedSentence(draft, language),
      );
    case 'release-ribbon':
      return join(words['ribbon.look'](), words['ribbon.lift-bar']({ item }), words['ribbon.pull']());
    case 'insert-ribbon':
      return join(
        words['ribbon.contacts']({ item }),
        words['ribbon.insert'](),
        words['ribbon.close-bar'](),
        seatedSentence(draft, language),
      );
    case 'peel-tape':
      return join(
        words['tape.peel']({ item }),
        draft.item?.renew === 'always'
          ? words['item.discard']({ number: itemNumber(draft, language) })
          : null,
      );
    case 'apply-tape':
      return tapeText(draft, language);
    case 'pull-strips':
    case 'bond-strips':
      return stripsText(draft, context);
    case 'take-out-seal':
      return join(
        words['seal.take-out']({ item }),
        draft.item !== null && draft.item.renew !== 'never' && draft.item.renew !== 'if-needed'
          ? words['item.discard']({ number: itemNumber(draft, language) })
          : null,
        words['seal.do-not-scratch'](),
      );
    case 'fit-seal':
      return sealBack(draft, context);
    case 'note-route':
      return join(words['route.look']({ item }), words['route.say']());
    case 'unroute': {
      const facts = { item, number: itemNumber(draft, language) };
      return action?.kind === 'unroute' && action.partly
        ? join(words['unroute.partly'](facts), words['unroute.leave-rest']())
        : join(words.unroute(facts));
    }
    case 'route': {
      const facts = { item, number: itemNumber(draft, language) };
      return join(
        words.route(facts),
        draft.item?.route === undefined ? null : words['route.is']({ route: draft.item.route }),
        draft.noteItem === null ? null : words['route.compare'](),
        words['route.not-pinched'](facts),
        seatedSentence(draft, language),
      );
    }
    default:
      return unreachable(kind, 'itemText');
  }
}

function tapeText(draft: Draft, language: Language): string {
  const words = language.plan;
  const number = itemNumber(draft, language);
  const press = words['tape.press']({ number });
  const seated = seatedSentence(draft, language);
  if (isRenewed(draft))
    return join(words['tape.apply-new']({ new: newOne(language, itemName(draft, language)) }), press, seated);
  const ifLoose = draft.item?.renew === 'if-needed' ? words['tape.if-loose']({ number }) : null;
  const item = the(language, itemName(draft, language));
  return join(words['tape.apply-again']({ item }), ifLoose, press, seated);
}

/** Stretch-release strips, out and bonded anew. */
function stripsText(draft: Draft, { language, part }: SentenceContext): string {
  const words = language.plan;
  const name = itemName(draft, language);
  const action = draft.step?.action;
  const count = action?.kind === 'pull-strips' ? action.count : 1;
  const many = { count, counted: countWord(language, count), strips: stripNoun(name, language), part };
  if (draft.action === 'pull-strips') {
    return join(
      count === 1 ? words['strips.pull-one']({ item: the(language, name) }) : words['strips.pull'](many),
      words['strips.slowly'](),
      words['strips.discard']({ count }),
    );
  }
  const orientation = draft.item?.orientation;
  return join(
    count === 1
      ? words['strips.bond-one']({ new: newOne(language, name), part })
      : words['strips.bond'](many),
    orientation === undefined ? null : words['strips.orientation']({ orientation }),
    isSetDownAfterBonding(draft.part) ? null : words['press-down']({ part }),
    seatedSentence(draft, language),
  );
}

type CareAction =
  | 'isolate'
  | 'discharge'
  | 'verify-dead'
  | 'restore-energy'
  | 'inspect'
  | 'clean'
  | 'measure'
  | 'record'
  | 'do';

/** Energy, looking, cleaning, measuring, recording, and what the author puts in own words. */
function careText(kind: CareAction, draft: Draft, context: SentenceContext): string {
  const { language } = context;
  const words = language.plan;
  if (kind === 'clean') return cleanText(draft, context);
  if (kind === 'measure') return measured(draft, language) ?? '';
  if (kind === 'record')
    return draft.record === null ? '' : recordSentences(the(language, draft.record.name), language);
  const object = what(draft, context);
  if (kind === 'do') return join(object);
  const facts = { what: the(language, object), number: numberOf(looksPlural(language, object)) };
  switch (kind) {
    case 'isolate':
      return join(words.isolate(facts), words['isolate.sure'](facts));
    case 'discharge':
      return join(words.discharge(facts), measured(draft, language));
    case 'verify-dead':
      return join(draft.measure === null ? words['verify-dead'](facts) : null, measured(draft, language));
    case 'restore-energy':
      return join(words['restore-energy'](facts));
    case 'inspect':
      return join(words.inspect(facts));
    default:
      return unreachable(kind, 'careText');
  }
}

type PartAction =
  | 'lift-off-pins'
  | 'seat-on-pins'
  | 'open-arms'
  | 'press-in'
  | 'slide-out'
  | 'slide-in'
  | 'unclip'
  | 'clip'
  | 'part-edges'
  | 'press-edges'
  | 'lift-out'
  | 'put-in'
  | 'separate-heat-sink'
  | 'fit-heat-sink'
  | 'open-to-angle'
  | 'close'
  | 'support';

/** What is done with the part itself. */
function partText(kind: PartAction, draft: Draft, context: SentenceContext): string {
  const { language } = context;
  const words = language.plan;
  const facts = { part: context.part, number: numberOf(draft.part?.plural ?? false) };
  const action = draft.step?.action;
  const clips = action?.kind === 'unclip' ? action.count : 1;
  switch (kind) {
    case 'lift-off-pins':
      return join(words['pins.lift-off'](facts));
    case 'seat-on-pins':
      return join(words['pins.align'](facts), words['pins.push'](facts));
    case 'open-arms':
      return join(words['arms.push'](), words['arms.pull'](facts));
    case 'press-in':
      return join(words['arms.align'](facts), words['arms.press'](facts));
    case 'slide-out':
      return join(words['slide-out'](facts));
    case 'slide-in':
      return join(words['slide-in'](facts));
    case 'unclip':
      return join(words.unclip({ ...facts, clips: counted(language, clips, words['clip-noun']()) }));
    case 'clip':
      return join(
        words.clip(facts),
        words['clip.lock']({ count: clips, counted: countWord(language, clips) }),
      );
    case 'part-edges':
      return join(words['edges.open'](facts), words['edges.work-round']());
    case 'press-edges':
      return join(words['edges.press'](facts), words['edges.no-gap']());
    case 'lift-out':
      return join(words['lift-out'](facts));
    case 'put-in':
      return join(
        words['put-in'](facts),
        isSetDownAfterBonding(draft.part) ? words['press-it-down'](facts) : null,
      );
    case 'separate-heat-sink':
      return join(
        words['heat-sink.separate'](facts),
        words['heat-sink.remove-old']({ compound: itemName(draft, language) }),
      );
    case 'fit-heat-sink':
      return join(
        words['heat-sink.apply']({ compound: compoundOf(draft, context) }),
        words['heat-sink.seat'](facts),
        seatedSentence(draft, language),
      );
    case 'open-to-angle': {
      const angle = action?.kind === 'open-to-angle' ? action.angle_deg : 90;
      return join(
        words['open-to-angle']({ ...facts, angle: printedNumber(language, angle) }),
        words['open-to-angle.no-further'](facts),
      );
    }
    case 'close':
      return join(words.close(facts));
    case 'support':
      return join(words.support(facts));
    default:
      return unreachable(kind, 'partText');
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

function stripNoun(name: string, language: Language): string {
  return looksPlural(language, name) ? name : language.nouns.plural(name);
}

function what(draft: Draft, context: SentenceContext): string {
  const action = draft.step?.action;
  return action !== undefined && 'what' in action ? action.what : context.part;
}

function cleanText(draft: Draft, context: SentenceContext): string {
  const { language } = context;
  const words = language.plan;
  if (draft.step?.action.kind !== 'clean') {
    const faces = draft.step?.action.kind === 'separate-heat-sink' ? 'clean.faces' : 'clean.bonding-faces';
    return join(words[faces]({ part: context.part }), words['clean.dry']());
  }
  const object = the(language, what(draft, context));
  if (draft.renew.length === 0) return join(words.clean({ what: object }));
  const means = listed(
    language,
    draft.renew.map((id) => context.nameOf(id)),
  );
  return fitting(join(words['clean.with']({ what: object, with: means })), () =>
    join(words.clean({ what: object }), words['clean.use']({ with: means })),
  );
}

/** The whole text of a step: turn, tool, then the action (or the author's own sentence). */
export function stepText(draft: Draft, context: SentenceContext): string {
  const { language, turnTo, take } = context;
  const core = draft.say === null ? ownText(draft, context) : asSentence(draft.say);
  if (turnTo === null && take === null) return core;
  const lead = join(
    turnTo === null ? null : language.plan.turn({ side: turnTo }),
    take === null ? null : language.plan.take({ tool: the(language, take) }),
  );
  return core === '' ? lead : `${lead} ${core}`;
}

/** What is written from structure, with what is held meanwhile. */
function ownText(draft: Draft, context: SentenceContext): string {
  const text = actionText(draft, context);
  const held = draft.action === 'install-fasteners' ? null : heldPart(draft, context);
  return held === null ? text : join(whileHolding(context.language, text, held));
}

/** A hazard as it is shown and spoken: signal word, hazard, consequence, how to avoid it. */
export function cautionOf(hazard: Hazard, language: Language): PlanCaution {
  const { id, word, hazard: what, consequence, avoid, symbol } = hazard;
  const caution = [what, consequence, avoid].map(asSentence).join(' ');
  return {
    id,
    word,
    hazard: what,
    consequence,
    avoid,
    symbol,
    say: language.plan['caution.say']({ word: language.plan[`signal.${word}`](), caution }),
  };
}

const SEVERITY = ['danger', 'warning', 'caution', 'notice'] as const;

/** Cautions most severe first; equal ones keep their order. */
export function bySeverity(cautions: readonly PlanCaution[]): readonly PlanCaution[] {
  return [...cautions].sort((a, b) => SEVERITY.indexOf(a.word) - SEVERITY.indexOf(b.word));
}
