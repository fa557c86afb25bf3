/**
 * Units of a given size for the bench: like the random ones of the property tests, with a core that needs
 * everything else off, so that one job takes the whole unit apart. A part lies on one side of its unit.
 */
import { randomFromSeed } from '../../electron/core/base/random.ts';
import type { Part, Product } from '../../electron/core/product/model.ts';
import { randomProduct } from '../properties/random-product.ts';

/** The part to ask for. */
export const CORE = 'core';

function onOneSide(part: Part, side: string): Part {
  return { ...part, steps: part.steps.map((step) => ({ ...step, side })) };
}

/** A unit of `parts` parts. The same size and seed give the same unit. */
export function benchUnit(parts: number, seed: number): Product {
  const random = randomFromSeed(seed);
  const unit = randomProduct(seed, { parts: parts - 1, energy: Math.min(0.08, 2 / parts) });
  const needed = new Set(unit.parts.flatMap((p) => p.needs));
  const last = unit.parts[0];
  if (last === undefined) throw new Error('a bench unit has two parts at least');
  const core: Part = {
    ...last,
    id: CORE,
    name: 'core',
    needs: unit.parts.filter((p) => !needed.has(p.id)).map((p) => p.id),
    carries: [],
    steps: [{ id: 'core-out', action: { kind: 'lift-out' }, hazards: [], way: 'both' }],
    install_after: [],
    new_part_steps: [],
    energy_source: false,
  };
  const sided = unit.parts.map((p) => onOneSide(p, random.pick(['front', 'back', 'left', 'right'])));
  return { ...unit, parts: [...sided, core] };
}
