/**
 * Checks of fasteners, tools, items and measurements: does the driver fit, is the torque believable, is
 * a single-use thing renewed, do two steps take out the same thing.
 */
import type { CheckSubject, PlacedStep } from './check-subject.ts';
import { driveFit, driveWords, usualDriveSizes } from './drives.ts';
import type { ActionKind, Fastener, Item, Measure, ProductStep, Tool } from './model.ts';
import { parseThread, proofStress_MPa, propertyClasses } from './threads.ts';
import { plausibleTorque_nm } from './torque.ts';
import type { Path } from './yaml-document.ts';

/** The kinds of item each action works on. */
const ITEM_KINDS: Partial<Record<ActionKind, readonly Item['kind'][]>> = {
  disconnect: ['connector', 'module', 'cable', 'clip'],
  'release-ribbon': ['ribbon-connector'],
  'peel-tape': ['tape'],
  'pull-strips': ['strip'],
  'take-out-seal': ['seal'],
  unroute: ['cable'],
  'separate-heat-sink': ['compound'],
};

/** Reports what is wrong with fasteners, tools, items and measurements, see the head of this module. */
export function checkFasteners(subject: CheckSubject): void {
  const { product } = subject;
  const tools = new Map(product.tools.map((each) => [each.id, each]));
  const fasteners = new Map(product.fasteners.map((each) => [each.id, each]));
  const items = new Map(product.items.map((each) => [each.id, each]));
  for (const [index, tool] of product.tools.entries()) checkTool(subject, tool, ['tools', index]);
  for (const [index, fastener] of product.fasteners.entries()) {
    checkFastener(subject, fastener, tools, ['fasteners', index]);
  }
  for (const [index, item] of product.items.entries()) checkItem(subject, item, ['items', index]);
  for (const placed of subject.steps) {
    checkTurning(subject, placed, fasteners, tools);
    checkItemOfStep(subject, placed, items);
    checkMeasure(subject, placed);
  }
  checkTakenTwice(subject);
}

function checkTool(subject: CheckSubject, tool: Tool, path: Path): void {
  const range = tool.torque_range_nm;
  if (!range || range[0] < range[1]) return;
  const facts = { tool: tool.id, low: range[0], high: range[1] };
  subject.report('product/torque-range-crossed', 'error', facts, [...path, 'torque_range_nm']);
}

function checkFastener(
  subject: CheckSubject,
  fastener: Fastener,
  tools: ReadonlyMap<string, Tool>,
  path: Path,
): void {
  const thread = parseThread(fastener.thread);
  if (!thread || thread.series === 'unlisted') {
    const facts = { fastener: fastener.id, thread: fastener.thread };
    subject.report('product/unknown-thread', 'advice', facts, [...path, 'thread']);
  }
  if (fastener.kind !== 'nut' && fastener.kind !== 'washer' && fastener.length_mm === 0) {
    subject.report('product/no-length', 'warning', { fastener: fastener.id }, [...path, 'length_mm']);
  }
  const usual = usualDriveSizes(fastener);
  if (usual && !usual.includes(fastener.drive.size)) {
    const facts = {
      fastener: fastener.id,
      drive: driveWords(fastener.drive),
      thread: fastener.thread,
      usual: usual.map(String),
    };
    subject.report('product/unusual-drive-size', 'warning', facts, [...path, 'drive', 'size']);
  }
  const cls = fastener.property_class;
  if (cls !== undefined && proofStress_MPa(cls) === undefined) {
    const facts = { fastener: fastener.id, value: cls, known: propertyClasses() };
    subject.report('product/unknown-property-class', 'advice', facts, [...path, 'property_class']);
  }
  if (fastener.torque_nm !== undefined && thread) {
    const { min, max } = plausibleTorque_nm(thread, cls);
    const facts = {
      fastener: fastener.id,
      torque_nm: fastener.torque_nm,
      thread: fastener.thread,
      class: cls ?? '8.8 assumed',
      min: round(min),
      max: round(max),
    };
    if (fastener.torque_nm > max)
      subject.report('product/torque-too-high', 'warning', facts, [...path, 'torque_nm']);
    if (fastener.torque_nm < min)
      subject.report('product/torque-too-low', 'warning', facts, [...path, 'torque_nm']);
  }
  checkFastenerTools(subject, fastener, tools, path);
}

function checkFastenerTools(
  subject: CheckSubject,
  fastener: Fastener,
  tools: ReadonlyMap<string, Tool>,
  path: Path,
): void {
  for (const key of ['tool', 'tighten_tool'] as const) {
    const tool = tools.get(fastener[key] ?? '');
    if (tool) checkFit(subject, tool, fastener, [...path, key]);
  }
  const tightening = tools.get(fastener.tighten_tool ?? fastener.tool ?? '');
  if (fastener.torque_nm === undefined || !tightening) return;
  const facts = { fastener: fastener.id, tool: tightening.id, torque_nm: fastener.torque_nm };
  const at = [...path, fastener.tighten_tool === undefined ? 'tool' : 'tighten_tool'];
  const range = tightening.torque_range_nm;
  if (!range) subject.report('product/torque-without-torque-tool', 'advice', facts, at);
  else if (fastener.torque_nm < range[0] || fastener.torque_nm > range[1]) {
    subject.report('product/torque-out-of-range', 'warning', { ...facts, low: range[0], high: range[1] }, at);
  }
}

function checkFit(subject: CheckSubject, tool: Tool, fastener: Fastener, path: Path): void {
  if (!tool.drive || fastener.drive.kind === 'none') return;
  const fit = driveFit(tool.drive, fastener.drive);
  if (fit === 'fits') return;
  const facts = {
    tool: tool.id,
    tool_drive: driveWords(tool.drive),
    fastener: fastener.id,
    fastener_drive: driveWords(fastener.drive),
    what: fit,
  };
  subject.report('product/driver-does-not-fit', 'error', facts, path);
}

function checkTurning(
  subject: CheckSubject,
  { step, path }: PlacedStep,
  fasteners: ReadonlyMap<string, Fastener>,
  tools: ReadonlyMap<string, Tool>,
): void {
  const { action } = step;
  if (action.kind !== 'remove-fasteners' && action.kind !== 'loosen-fasteners') return;
  const fastener = fasteners.get(action.fastener);
  if (!fastener) return;
  const id = step.tool ?? fastener.tool;
  if (id === undefined && fastener.drive.kind !== 'none') {
    subject.report('product/no-tool', 'error', { step: step.id, fastener: fastener.id }, [
      ...path,
      'fastener',
    ]);
  }
  const tool = step.tool === undefined ? undefined : tools.get(step.tool);
  if (tool) checkFit(subject, tool, fastener, [...path, 'tool']);
  checkPasses(subject, step, fastener, path);
  checkReach(subject, step, fastener, path);
  if (fastener.single_use && step.way === 'in') {
    subject.report('product/single-use-not-renewed', 'error', { step: step.id, id: fastener.id }, [
      ...path,
      'way',
    ]);
  }
  if (fastener.kind === 'captive-screw' && action.kind === 'remove-fasteners') {
    subject.report('product/captive-removed', 'warning', { step: step.id, fastener: fastener.id }, [
      ...path,
      'do',
    ]);
  }
  if (step.optional && step.way === 'both') {
    subject.report('product/optional-removal', 'warning', { step: step.id }, [...path, 'optional']);
  }
}

/** Passes rise and end at the full torque; a pattern for one fastener and passes without torque mean nothing. */
function checkPasses(subject: CheckSubject, step: ProductStep, fastener: Fastener, path: Path): void {
  const { action } = step;
  if (!('passes' in action) || !action.passes) return;
  const passes = action.passes;
  const rising = passes.every((each, index) => index === 0 || each > (passes[index - 1] ?? 0));
  if (!rising || passes.at(-1) !== 100) {
    subject.report('product/passes', 'error', { step: step.id, passes: passes.map(String) }, [
      ...path,
      'passes',
    ]);
  } else if (fastener.torque_nm === undefined) {
    subject.report('product/passes-without-torque', 'error', { step: step.id, fastener: fastener.id }, [
      ...path,
      'passes',
    ]);
  }
}

/** The tool that tightens at this step reaches from the first pass to the last. */
function checkReach(subject: CheckSubject, step: ProductStep, fastener: Fastener, path: Path): void {
  const id = fastener.tighten_tool ?? step.tool ?? fastener.tool;
  const [low, high] = subject.product.tools.find((tool) => tool.id === id)?.torque_range_nm ?? [];
  const { torque_nm } = fastener;
  if (torque_nm === undefined || low === undefined || high === undefined) return;
  const facts = { fastener: fastener.id, tool: id ?? '', low, high };
  const isOwnTool = fastener.tighten_tool === undefined && step.tool !== undefined;
  if (torque_nm < low || torque_nm > high) {
    const at = [...path, 'tool'];
    // The fastener's own tools are looked at where they are named.
    if (isOwnTool) subject.report('product/torque-out-of-range', 'warning', { ...facts, torque_nm }, at);
    return;
  }
  const percent = 'passes' in step.action ? (step.action.passes?.[0] ?? 100) : 100;
  const first = Math.round(torque_nm * percent * 10) / 1000;
  if (first >= low) return;
  subject.report('product/pass-out-of-range', 'warning', { ...facts, step: step.id, torque_nm: first }, [
    ...path,
    'passes',
  ]);
}

function checkItem(subject: CheckSubject, item: Item, path: Path): void {
  const singleUse = item.kind === 'strip' || item.kind === 'compound';
  if ((singleUse && item.renew !== 'always') || (item.kind === 'seal' && item.renew === 'never')) {
    subject.report('product/single-use-not-renewed', 'error', { id: item.id, kind: item.kind }, [
      ...path,
      'renew',
    ]);
  }
  if (item.kind === 'strip' && item.orientation === undefined) {
    subject.report('product/no-orientation', 'advice', { item: item.id }, [...path, 'id']);
  }
  if (item.kind === 'compound' && (item.uses ?? []).length === 0) {
    subject.report('product/no-consumable', 'warning', { item: item.id }, [...path, 'id']);
  }
}

function checkItemOfStep(
  subject: CheckSubject,
  { step, path }: PlacedStep,
  items: ReadonlyMap<string, Item>,
): void {
  const { action } = step;
  if (!('item' in action)) return;
  const item = items.get(action.item);
  if (!item) return;
  const kinds = ITEM_KINDS[action.kind] ?? [];
  if (!kinds.includes(item.kind)) {
    const facts = { step: step.id, action: action.kind, item: item.id, kind: item.kind, allowed: kinds };
    subject.report('product/item-kind', 'error', facts, [...path, 'item']);
  }
  if (item.renew === 'always' && step.way === 'in') {
    subject.report('product/single-use-not-renewed', 'error', { step: step.id, id: item.id }, [
      ...path,
      'way',
    ]);
  }
  if (action.kind === 'unroute' && item.route === undefined && !action.note_route) {
    subject.report('product/no-route', 'warning', { step: step.id, item: item.id }, [...path, 'item']);
  }
}

function checkMeasure(subject: CheckSubject, { step, path }: PlacedStep): void {
  const { action } = step;
  const measure: Measure | undefined = 'measure' in action ? action.measure : undefined;
  if (action.kind === 'verify-dead' && !measure) {
    subject.report('product/verified-without-measuring', 'warning', { step: step.id }, [...path, 'do']);
  }
  if (!measure) return;
  const at = [...path, 'measure'];
  const facts = { step: step.id, measure: measure.id, unit: measure.unit };
  if (measure.min === undefined && measure.max === undefined) {
    subject.report('product/measure-without-limits', 'error', facts, at);
  } else if (measure.min !== undefined && measure.max !== undefined && measure.min >= measure.max) {
    const code = measure.min > measure.max ? 'product/limits-crossed' : 'product/limits-equal';
    const severity = measure.min > measure.max ? 'error' : 'warning';
    subject.report(code, severity, { ...facts, min: measure.min, max: measure.max }, [...at, 'min']);
  }
}

/** The same fasteners or the same item taken out by two steps that can both come up in one job. */
function checkTakenTwice(subject: CheckSubject): void {
  const seen = new Map<string, PlacedStep[]>();
  for (const placed of subject.steps) {
    if (placed.list !== 'steps' && placed.list !== 'prepare') continue;
    const key = takenKey(placed.step);
    if (key === undefined || placed.step.way === 'out') continue;
    const earlier = seen.get(key) ?? [];
    const clash = earlier.find((each) => !exclude(each.step, placed.step));
    if (clash) reportTwice(subject, clash, placed);
    seen.set(key, [...earlier, placed]);
  }
}

function takenKey({ action }: ProductStep): string | undefined {
  if (action.kind === 'remove-fasteners' || action.kind === 'loosen-fasteners') {
    return `${action.kind}\n${action.fastener}\n${action.place.toLowerCase()}`;
  }
  return 'item' in action ? `${action.kind}\n${action.item}` : undefined;
}

function reportTwice(subject: CheckSubject, first: PlacedStep, second: PlacedStep): void {
  const { action } = second.step;
  const facts = {
    first_step: first.step.id,
    step: second.step.id,
    first_part: first.part?.id ?? '',
    part: second.part?.id ?? '',
  };
  if ('item' in action) {
    subject.report('product/item-taken-twice', 'error', { ...facts, item: action.item }, [
      ...second.path,
      'item',
    ]);
  } else if ('fastener' in action) {
    const code =
      first.part === second.part ? 'product/fastener-place-repeated' : 'product/fastener-place-shared';
    const severity = first.part === second.part ? 'warning' : 'error';
    subject.report(code, severity, { ...facts, fastener: action.fastener, place: action.place }, second.path);
  }
}

/** Two steps that ask for different answers of one variant never meet. */
function exclude(a: ProductStep, b: ProductStep): boolean {
  return (
    a.when !== undefined &&
    b.when !== undefined &&
    a.when.variant === b.when.variant &&
    a.when.is !== b.when.is
  );
}

function round(value: number): number {
  return Number(value.toPrecision(2));
}
