/** The sentences of fasteners: remove, loosen, start by hand, tighten with order, passes and torque. */
import type { Language } from '../base/language.ts';
import type { Fastener } from '../product/model.ts';
import type { Draft, FastenerUse } from './draft.ts';
import {
  fits,
  fitting,
  heldPart,
  join,
  joinAll,
  type SentenceContext,
  whileHolding,
} from './sentence-frame.ts';
import { looseningOrder, needsRoundPass, passTorques, tighteningOrder } from './tightening.ts';
import { sizedName } from './tray.ts';
import {
  asSentence,
  counted,
  countedNew,
  countWord,
  enumerated,
  newOne,
  placed,
  printedNumber,
} from './wording.ts';

/** Names for more fasteners than this are put together anew each time. */
const KEPT_MAX = 64;

/** Texts of orders that were asked for before; a unit has few different ones, each one list. */
const orderTexts = new WeakMap<Language, WeakMap<readonly number[], string>>();

/** Figures of an order in groups, so that no sentence holds more than eight. */
function orderSentences(language: Language, order: readonly number[]): string {
  let texts = orderTexts.get(language);
  if (texts === undefined) {
    texts = new WeakMap();
    orderTexts.set(language, texts);
  }
  let text = texts.get(order);
  if (text === undefined) {
    text = newOrderSentences(language, order);
    texts.set(order, text);
  }
  return text;
}

function newOrderSentences(language: Language, order: readonly number[]): string {
  const groups: string[] = [];
  const size = order.length % 4 === 0 && order.length > 8 ? 4 : 8;
  for (let i = 0; i < order.length; i += size) {
    const list = enumerated(language, order.slice(i, i + size).map(String));
    groups.push(i === 0 ? list : language.plan['order.further']({ list }));
  }
  return groups.map((group, i) => (i < groups.length - 1 ? asSentence(group) : group)).join(' ');
}

/** Names and figures of fasteners as they stand in sentences, each put together once a plan: a unit has few kinds. */
export class FastenerNames {
  private readonly language: Language;
  private readonly sized = new Map<Fastener, string>();
  private readonly counts = new Map<Fastener, (string | undefined)[]>();
  private readonly torques = new Map<number, string>();

  constructor(language: Language) {
    this.language = language;
  }

  /** "M2.5×8 case screw". */
  one(fastener: Fastener): string {
    let name = this.sized.get(fastener);
    if (name === undefined) {
      name = sizedName(fastener, this.language);
      this.sized.set(fastener, name);
    }
    return name;
  }

  /** "the four M2.5×8 case screws". */
  counted({ fastener, count }: FastenerUse): string {
    let names = this.counts.get(fastener);
    if (names === undefined) {
      names = [];
      this.counts.set(fastener, names);
    }
    let name = names[count];
    if (name === undefined) {
      name = counted(this.language, count, this.one(fastener));
      if (count <= KEPT_MAX) names[count] = name;
    }
    return name;
  }

  /** "0.4 N·m". */
  torque(torque_nm: number): string {
    let text = this.torques.get(torque_nm);
    if (text === undefined) {
      text = torqueText(torque_nm, this.language);
      this.torques.set(torque_nm, text);
    }
    return text;
  }
}

function compartmentText(context: SentenceContext): string | null {
  const { compartment, language } = context;
  if (compartment === null) return null;
  return language.plan.compartment({ counted: countWord(language, compartment), number: compartment });
}

/** Remove: the loosening order first where there is one, then the count, the place and the compartment. */
export function removeFasteners(use: FastenerUse, context: SentenceContext): string {
  const { language } = context;
  const words = language.plan;
  const { count } = use;
  const fasteners = context.fasteners.counted(use);
  const compartment = compartmentText(context);
  const bin =
    use.fastener.single_use === true
      ? words['fasteners.discard']({ count })
      : compartment === null
        ? null
        : words['fasteners.bin']({ count, compartment });
  const lead = looseningLead(use, language);
  const from = placed(language, 'from', use.place);
  const text = join(lead, words['fasteners.remove']({ count, fasteners, from }), bin);
  if (fits(text)) return text;
  return join(
    lead,
    words['fasteners.remove-short']({ count, fasteners }),
    words['fasteners.where']({ count, on: placed(language, 'on', use.place) }),
    bin,
  );
}

/** "Loosen the six bolts in this order: 1, 4, …" before they are taken out. */
function looseningLead(use: FastenerUse, language: Language): string | null {
  const order = looseningOrder(use.pattern, use.count);
  if (order.length === 0) return null;
  return language.plan['fasteners.loosen-first']({
    count: use.count,
    fasteners: counted(language, use.count, use.fastener.name),
    order: orderSentences(language, order),
  });
}

function looseningSentences(use: FastenerUse, language: Language): string | null {
  const order = looseningOrder(use.pattern, use.count);
  if (order.length === 0) return null;
  return language.plan['fasteners.loosen-order']({
    count: use.count,
    order: orderSentences(language, order),
  });
}

/** Loosen and leave in. */
export function loosenFasteners(use: FastenerUse, context: SentenceContext): string {
  const { language } = context;
  const words = language.plan;
  const { count } = use;
  const on = placed(language, 'on', use.place);
  const fasteners = context.fasteners.counted(use);
  return join(
    fitting(join(words['fasteners.loosen']({ count, fasteners, on })), () =>
      join(words['fasteners.loosen-short']({ count, fasteners }), words['fasteners.where']({ count, on })),
    ),
    looseningSentences(use, language),
    words['fasteners.leave']({ count }),
  );
}

/** Fetch from the compartment (or new ones), start by hand, and tighten where that is no step of its own. */
export function installFasteners(draft: Draft, use: FastenerUse, context: SentenceContext): string {
  const { language } = context;
  const words = language.plan;
  const { count } = use;
  const name = context.fasteners.one(use.fastener);
  const all = context.fasteners.counted(use);
  const compartment = compartmentText(context);
  const fetch = draft.renew.includes(use.fastener.id)
    ? words['fasteners.get']({
        count,
        fasteners: count === 1 ? newOne(language, name) : countedNew(language, count, name),
      })
    : compartment === null
      ? null
      : words['fasteners.fetch']({ count, fasteners: all, compartment });
  const fasteners = fetch === null ? all : words['fasteners.them']({ count });
  const washer = use.fastener.kind === 'washer';
  const onTop = washer || use.fastener.kind === 'nut';
  const where = placed(language, onTop ? 'on' : 'in', use.place);
  const start = words[washer ? 'fasteners.put' : 'fasteners.start']({ count, fasteners, where });
  const short = words[washer ? 'fasteners.put-short' : 'fasteners.start-short'];
  return join(
    fetch,
    whileHolding(
      language,
      fitting(join(start), () =>
        join(short({ count, fasteners }), words['fasteners.place']({ place: use.place })),
      ),
      heldPart(draft, context),
    ),
    use.what === 'in-and-tight' && !washer ? tightenFasteners(use, true, context) : null,
  );
}

/** Torque as printed in a sentence: "0.4 N·m". */
export function torqueText(torque_nm: number, language: Language): string {
  return language.plan['value-with-unit']({ value: printedNumber(language, torque_nm), unit: 'N·m' });
}

/** Tighten: torque, order, passes, round pass. `started`: the sentence before has named the fasteners. */
export function tightenFasteners(use: FastenerUse, started: boolean, context: SentenceContext): string {
  const { language, fasteners: names } = context;
  const words = language.plan;
  const { count } = use;
  const torque = use.fastener.torque_nm ?? null;
  const order = tighteningOrder(use.pattern, count);
  const inOrder = order.length === 0 ? null : orderSentences(language, order);
  const passes = passTorques(torque, use.passes);
  const fasteners = started ? words['fasteners.them']({ count }) : names.counted(use);
  if (passes.length <= 1) {
    return join(
      torque === null
        ? words['fasteners.tighten']({ count, fasteners })
        : words['fasteners.tighten-to']({ count, fasteners, torque: names.torque(torque) }),
      inOrder === null ? null : words['fasteners.tighten-order']({ order: inOrder }),
      use.passes === undefined || torque !== null ? null : words['fasteners.tighten-even'](),
    );
  }
  const last = names.torque(passes[passes.length - 1] ?? 0);
  return joinAll([
    words['fasteners.tighten-passes']({ count, fasteners, passes: countWord(language, passes.length) }),
    inOrder === null ? null : words['fasteners.passes-order']({ order: inOrder }),
    ...passes.map((nm, i) =>
      words['fasteners.pass']({ ordinal: language.numbers.ordinal(i + 1), torque: names.torque(nm) }),
    ),
    needsRoundPass(use.pattern, passes.length) ? words['fasteners.round-pass']({ torque: last }) : null,
  ]);
}
