/**
 * Checks of what comes off before what: cycles, parts that never come off or never come up, needs that
 * say too much or too little, parts that move over, and the order of going back.
 */
import { type CheckSubject, NeedsWalk, partsById } from './check-subject.ts';
import type { ActionKind, Product } from './model.ts';
import type { Path } from './yaml-document.ts';

/** Actions that loosen a part or take it away; a part without any of them never comes off. */
const FREEING: ReadonlySet<ActionKind> = new Set<ActionKind>([
  'remove-fasteners',
  'loosen-fasteners',
  'disconnect',
  'release-ribbon',
  'peel-tape',
  'pull-strips',
  'take-out-seal',
  'unroute',
  'lift-off-pins',
  'open-arms',
  'slide-out',
  'unclip',
  'part-edges',
  'lift-out',
  'separate-heat-sink',
  'open-to-angle',
  'do',
]);

/** Actions that make sense on a part that is not built in, and at the end of a job. */
const CHECKING: ReadonlySet<ActionKind> = new Set<ActionKind>([
  'inspect',
  'clean',
  'measure',
  'record',
  'do',
  'verify-dead',
]);
/** Energy goes off in the preparation, or in the steps of a part that holds it (a battery, a capacitor). */
const PREPARING: ReadonlySet<ActionKind> = new Set<ActionKind>([
  ...CHECKING,
  'isolate',
  'discharge',
  'support',
  'disconnect',
  'open-to-angle',
  'remove-fasteners',
  'loosen-fasteners',
]);

/**
 * Reports what is wrong with the order of parts, see the head of this module. Where `needs` has a cycle,
 * the checks that walk along it are left out. About linear; walks are bounded by `NeedsWalk`.
 */
export function checkOrder(subject: CheckSubject): void {
  const stuck = checkCycles(subject);
  checkFreeing(subject, stuck);
  if (stuck.size === 0) {
    const walk = new NeedsWalk(subject.product);
    checkSupporting(subject, walk);
    checkEnergyStillOn(subject, walk);
    checkCarried(subject, walk);
    checkInstallation(subject);
    checkRedundantNeeds(subject, walk);
  }
  if (subject.unread.size === 0) checkReachable(subject);
  checkLists(subject);
}

function indexOf(product: Product, id: string): number {
  return product.parts.findIndex((part) => part.id === id);
}

/** Reports every cycle once, with its path, and gives the parts that lie on one. */
function checkCycles(subject: CheckSubject): Set<string> {
  const byId = partsById(subject.product);
  const onCycle = new Set<string>();
  for (const cycle of cyclesOf([...byId.keys()], (id) => byId.get(id)?.needs ?? [])) {
    for (const id of cycle) onCycle.add(id);
    const first = cycle[0] ?? '';
    const next = cycle[1] ?? first;
    const need = byId.get(first)?.needs.indexOf(next) ?? 0;
    const facts = { path: [...cycle, first] };
    subject.report('product/needs-cycle', 'error', facts, [
      'parts',
      indexOf(subject.product, first),
      'needs',
      need,
    ]);
  }
  return onCycle;
}

/**
 * One cycle per back edge found by a depth-first walk in the order given; without recursion, so that a
 * chain of ten thousand parts does not overflow. Nodes that edges name but the list lacks are ignored.
 */
export function cyclesOf(nodes: readonly string[], edges: (node: string) => readonly string[]): string[][] {
  const known = new Set(nodes);
  const state = new Map<string, 'open' | 'done'>();
  const cycles: string[][] = [];
  for (const root of nodes) {
    if (state.has(root)) continue;
    const trail: { node: string; next: number }[] = [{ node: root, next: 0 }];
    state.set(root, 'open');
    for (let top = trail.at(-1); top !== undefined; top = trail.at(-1)) {
      const target = edges(top.node)[top.next++];
      if (target === undefined) {
        state.set(top.node, 'done');
        trail.pop();
      } else if (known.has(target) && !state.has(target)) {
        state.set(target, 'open');
        trail.push({ node: target, next: 0 });
      } else if (state.get(target) === 'open') {
        const start = trail.findIndex((each) => each.node === target);
        cycles.push(trail.slice(start).map((each) => each.node));
      }
    }
  }
  return cycles;
}

/** Parts without a step that frees them, and parts that wait for such a part or for a cycle. */
function checkFreeing(subject: CheckSubject, onCycle: ReadonlySet<string>): void {
  const { product } = subject;
  const never = new Set<string>();
  for (const [index, part] of product.parts.entries()) {
    if (part.steps.some((step) => FREEING.has(step.action.kind))) continue;
    if (subject.unread.size > 0 && part.steps.length === 0) continue;
    never.add(part.id);
    const facts = { part: part.id, because: part.steps.length === 0 ? 'no-steps' : 'no-freeing-step' };
    subject.report('product/never-comes-off', 'error', facts, ['parts', index, 'id']);
  }
  const towards = waysTo(product, [...never, ...onCycle]);
  for (const [index, part] of product.parts.entries()) {
    if (never.has(part.id) || onCycle.has(part.id) || !towards.has(part.id)) continue;
    const chain = [part.id];
    for (let id = towards.get(part.id); id !== undefined; id = towards.get(id)) chain.push(id);
    const facts = { part: part.id, because: 'waits', chain };
    subject.report('product/never-comes-off', 'error', facts, ['parts', index, 'needs']);
  }
}

/** For each part that waits for one of the ends: the next part on a shortest way to an end. Linear. */
function waysTo(product: Product, ends: readonly string[]): ReadonlyMap<string, string> {
  const neededBy = new Map<string, string[]>();
  for (const part of product.parts) {
    for (const need of part.needs) {
      const list = neededBy.get(need);
      if (list) list.push(part.id);
      else neededBy.set(need, [part.id]);
    }
  }
  const seen = new Set(ends);
  const next = new Map<string, string>();
  const queue = [...ends];
  for (let head = 0; head < queue.length; head++) {
    const id = queue[head] ?? '';
    for (const waiting of neededBy.get(id) ?? []) {
      if (seen.has(waiting)) continue;
      seen.add(waiting);
      next.set(waiting, id);
      queue.push(waiting);
    }
  }
  return next;
}

/** A need that another need implies: harmless today, wrong the day the other one changes. */
function checkRedundantNeeds(subject: CheckSubject, walk: NeedsWalk): void {
  for (const [index, part] of subject.product.parts.entries()) {
    if (part.needs.length < 2 || walk.exhausted) continue;
    const implied = walk.beyond(part.needs);
    for (const [position, need] of part.needs.entries()) {
      const twice = part.needs.indexOf(need) < position;
      const through = twice ? need : implied.get(need);
      if (through === undefined) continue;
      const facts = { part: part.id, need, through };
      subject.report('product/redundant-need', 'warning', facts, ['parts', index, 'needs', position]);
    }
  }
}

/** Parts that move over: taken off the old part, so what they need must be off by then too. */
function checkCarried(subject: CheckSubject, walk: NeedsWalk): void {
  const { product } = subject;
  const byId = partsById(product);
  const carrier = new Map<string, string>();
  for (const [index, part] of product.parts.entries()) {
    if (part.carries.length === 0 || walk.exhausted) continue;
    const off = walk.closure(part.id);
    for (const [position, id] of part.carries.entries()) {
      const path: Path = ['parts', index, 'carries', position];
      const earlier = carrier.get(id);
      if (id === part.id) subject.report('product/carries-itself', 'error', { part: id }, path);
      else if (earlier !== undefined) {
        subject.report('product/carried-twice', 'error', { part: id, first: earlier, second: part.id }, path);
      } else if (off.has(id)) {
        subject.report('product/carries-what-is-off', 'warning', { part: part.id, carried: id }, path);
      }
      carrier.set(id, part.id);
      const missing = [...walk.closure(id)].filter((need) => need !== part.id && !off.has(need));
      const beside = missing.filter((need) => !part.carries.includes(need));
      if (beside.length === 0 || id === part.id) continue;
      subject.report(
        'product/needs-not-closed',
        'warning',
        { part: part.id, carried: id, missing: beside },
        path,
      );
    }
  }
  const byCarrier = cyclesOf([...byId.keys()], (id) =>
    (byId.get(id)?.carries ?? []).filter((each) => each !== id),
  );
  for (const cycle of byCarrier) {
    const first = cycle[0] ?? '';
    subject.report('product/carries-cycle', 'error', { path: [...cycle, first] }, [
      'parts',
      indexOf(product, first),
      'carries',
    ]);
  }
}

/** Going back: what needed a part goes back before it; `install_after` adds to that and may contradict it. */
function checkInstallation(subject: CheckSubject): void {
  const { product } = subject;
  const byId = partsById(product);
  const neededBy = new Map<string, string[]>();
  for (const part of product.parts) {
    for (const need of part.needs) {
      const list = neededBy.get(need);
      if (list) list.push(part.id);
      else neededBy.set(need, [part.id]);
    }
  }
  const before = (id: string): string[] => [
    ...(byId.get(id)?.install_after ?? []),
    ...(neededBy.get(id) ?? []),
  ];
  for (const cycle of cyclesOf([...byId.keys()], before)) {
    const first = cycle.find((id) => (byId.get(id)?.install_after.length ?? 0) > 0) ?? cycle[0] ?? '';
    const facts = { path: [...cycle, cycle[0] ?? ''] };
    subject.report('product/install-cycle', 'error', facts, [
      'parts',
      indexOf(product, first),
      'install_after',
    ]);
  }
}

/** Nobody can hold a part that is already off, or the part that is being taken away. */
function checkSupporting(subject: CheckSubject, walk: NeedsWalk): void {
  for (const { step, part, path } of subject.steps) {
    if (step.supporting === undefined || !part) continue;
    if (!walk.closure(part.id).has(step.supporting)) continue;
    const facts = { step: step.id, part: step.supporting };
    subject.report('product/supports-what-is-off', 'error', facts, [...path, 'supporting']);
  }
}

/**
 * Connectors opened while a battery is still in: the part does not need the energy source, although it
 * could, because the source does not wait for this part. What lies over the source is opened live anyway.
 */
function checkEnergyStillOn(subject: CheckSubject, walk: NeedsWalk): void {
  const sources = subject.product.parts.filter((part) => part.energy_source);
  const over = new Set(sources.flatMap((part) => [part.id, ...walk.closure(part.id)]));
  const checked = new Set<string>();
  for (const { step, part, list, path } of subject.steps) {
    const opens = step.action.kind === 'disconnect' || step.action.kind === 'release-ribbon';
    if (!part || list !== 'steps' || !opens || over.has(part.id) || checked.has(part.id)) continue;
    checked.add(part.id);
    const off = walk.closure(part.id);
    const source = sources.find((each) => !off.has(each.id));
    if (!source || walk.exhausted) continue;
    const facts = { part: part.id, step: step.id, source: source.id };
    subject.report('product/energy-still-on', 'warning', facts, [...path, 'do']);
  }
}

/** A part that nobody may replace and that stands in nobody's way never comes up in a job. */
function checkReachable(subject: CheckSubject): void {
  const { product } = subject;
  const byId = partsById(product);
  const reached = new Set<string>();
  for (const part of product.parts) {
    if (!part.replaceable || reached.has(part.id)) continue;
    const open = [part.id];
    for (let id = open.pop(); id !== undefined; id = open.pop()) {
      if (reached.has(id)) continue;
      reached.add(id);
      const each = byId.get(id);
      open.push(...(each?.needs ?? []), ...(each?.carries ?? []));
    }
  }
  for (const [index, part] of product.parts.entries()) {
    if (reached.has(part.id)) continue;
    subject.report('product/unreachable-part', 'warning', { part: part.id }, ['parts', index, 'id']);
  }
}

/** Actions that do not belong into a list, and energy dealt with in the wrong order. */
function checkLists(subject: CheckSubject): void {
  for (const { step, path, list } of subject.steps) {
    const allowed = list === 'prepare' ? PREPARING : list === 'steps' ? undefined : CHECKING;
    if (!allowed || allowed.has(step.action.kind)) continue;
    const facts = { step: step.id, action: step.action.kind, list, allowed: [...allowed] };
    subject.report('product/action-out-of-place', 'error', facts, [...path, 'do']);
  }
  checkEnergy(subject);
}

/**
 * Energy: the first isolation comes before the first discharge, that before the first verification (the
 * order of 29 CFR 1910.147(d)), and after the last of the first two something is verified.
 */
function checkEnergy(subject: CheckSubject): void {
  const order: readonly ActionKind[] = ['isolate', 'discharge', 'verify-dead'];
  const prepare = subject.steps.filter(({ list }) => list === 'prepare');
  let latest = -1;
  for (const kind of order) {
    const first = prepare.findIndex(({ step }) => step.action.kind === kind);
    const placed = prepare[first];
    if (!placed) continue;
    if (first < latest) {
      const facts = { step: placed.step.id, action: kind };
      subject.report('product/energy-order', 'error', facts, [...placed.path, 'do']);
    }
    latest = Math.max(latest, first);
  }
  const isLast = (kinds: readonly ActionKind[]) =>
    prepare.map(({ step }) => kinds.includes(step.action.kind)).lastIndexOf(true);
  const off = prepare[isLast(['isolate', 'discharge'])];
  if (!off || isLast(['verify-dead']) > isLast(['isolate', 'discharge'])) return;
  subject.report('product/isolated-not-verified', 'warning', { step: off.step.id }, [...off.path, 'do']);
}
