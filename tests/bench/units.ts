/** Units of a given size for the bench: like the random ones of the property tests, and every part asked for. */
import type { Product } from '../../electron/core/product/model.ts';
import { randomProduct } from '../properties/random-product.ts';

/** A unit whose last part needs, through neighbours, most of the others. */
export function benchUnit(parts: number, seed: number): Product {
  return randomProduct(seed, { parts, energy: Math.min(0.08, 2 / parts) });
}
