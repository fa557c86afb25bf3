/** The plan proof's list of what must happen, ticked off as the plan is replayed. */
import type { Operation } from './proof-model.ts';

const NOTHING: readonly Operation[] = [];
const NONE: readonly number[] = [];

/** A list of operations with a tick for each that has happened. */
export class Sequence {
  readonly operations: readonly Operation[];
  /** All before this are done. */
  private firstOpen = 0;
  /** Done beyond `firstOpen`: there are some only where a plan is out of order. */
  private ahead: readonly number[] = NONE;
  constructor(operations: readonly Operation[]) {
    this.operations = operations;
  }
  get complete(): boolean {
    return this.firstOpen === this.operations.length;
  }
  get begun(): boolean {
    return this.firstOpen > 0 || this.ahead.length > 0;
  }
  get next(): Operation | undefined {
    return this.operations[this.firstOpen];
  }
  /** Position of the operation that a plan step stands for: an open one before one that is done. */
  find(source: string, action: string): number {
    const { next, operations } = this;
    if (next !== undefined && next.action === action && next.step.id === source) return this.firstOpen;
    let found = -1;
    for (let i = 0; i < operations.length; i += 1) {
      const op = operations[i] as Operation;
      if (op.step.id !== source || op.action !== action) continue;
      if (!this.isDone(i)) return i;
      found = i;
    }
    return found;
  }
  isDone(at: number): boolean {
    return at < this.firstOpen || (this.ahead.length > 0 && this.ahead.includes(at));
  }
  tick(at: number): void {
    if (this.isDone(at)) return;
    if (at !== this.firstOpen) {
      this.ahead = [...this.ahead, at];
      return;
    }
    this.firstOpen += 1;
    while (this.ahead.length > 0 && this.ahead.includes(this.firstOpen)) this.firstOpen += 1;
  }
  get open(): readonly Operation[] {
    if (this.complete) return NOTHING;
    return this.operations.filter((_, i) => !this.isDone(i));
  }
}
