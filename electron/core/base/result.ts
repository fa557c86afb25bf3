/**
 * Expected failures are values, not exceptions. A function that can fail for a reason the caller
 * should handle returns a `Result`; an impossible state is an `assert` with the values in its text.
 */
export type Result<T, E> =
  | { readonly ok: true; readonly value: T }
  | { readonly ok: false; readonly error: E };

/** A successful result. */
export function ok<T>(value: T): { readonly ok: true; readonly value: T } {
  return { ok: true, value };
}

/** A failed result. */
export function err<E>(error: E): { readonly ok: false; readonly error: E } {
  return { ok: false, error };
}

/** Throws when something that cannot be false is false. `what` names the fact and carries the values. */
export function assert(condition: unknown, what: string): asserts condition {
  if (!condition) throw new Error(`assertion failed: ${what}`);
}

/** The arm of a switch that no value can reach; makes the compiler check that a switch is complete. */
export function unreachable(value: never, where: string): never {
  throw new Error(`unreachable value in ${where}: ${JSON.stringify(value)}`);
}
