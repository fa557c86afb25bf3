/** The sentences of fasteners: remove, loosen, start by hand, tighten with order, passes and torque. */
import type { Draft, FastenerUse } from './draft.ts';
import { fitting, heldPart, itThem, join, type SentenceContext, whileHolding } from './sentence-frame.ts';
import { looseningOrder, needsRoundPass, passTorques, tighteningOrder } from './tightening.ts';
import { sizedName } from './tray.ts';
import { counted, countWord, ordinalWord, placed, plural, printedNumber } from './wording.ts';

/** Figures of an order in groups, so that no sentence holds more than eight. */
function orderSentences(order: readonly number[]): string {
  const groups: string[] = [];
  const size = order.length % 4 === 0 && order.length > 8 ? 4 : 8;
  for (let i = 0; i < order.length; i += size) groups.push(order.slice(i, i + size).join(', '));
  return groups.map((group, i) => (i === 0 ? group : `Then ${group}`)).join('. ');
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

/** Remove: the loosening order first where there is one, then the count, the place and the compartment. */
export function removeFasteners(use: FastenerUse, context: SentenceContext): string {
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

/** Loosen and leave in. */
export function loosenFasteners(use: FastenerUse): string {
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

/** Fetch from the compartment (or new ones), start by hand, and tighten where that is no step of its own. */
export function installFasteners(draft: Draft, use: FastenerUse, context: SentenceContext): string {
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

/** Tighten: torque, order, passes, round pass. `started`: the sentence before has named the fasteners. */
export function tightenFasteners(use: FastenerUse, started: boolean): string {
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
