/** The plan proof's list of what must happen, ticked off as the plan is replayed. */
import type { Operation } from './proof-model.ts';

const NOTHING: readonly Operation[] = [];

/** A list of operations with a tick for each that has happened. */
export class Sequence {
  readonly operations: readonly Operation[];
  private readonly done: boolean[];
  private count = 0;
  private firstOpen = 0;
  constructor(operations: readonly Operation[]) {
    this.operations = operations;
    this.done = new Array<boolean>(operations.length).fill(false);
  }
  get complete(): boolean {
    return this.count === this.operations.length;
  }
  get begun(): boolean {
    return this.count > 0;
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
      if (this.done[i] !== true) return i;
      found = i;
    }
    return found;
  }
  isDone(at: number): boolean {
    return this.done[at] === true;
  }
  tick(at: number): void {
    if (this.done[at] === true) return;
    this.done[at] = true;
    this.count += 1;
    while (this.done[this.firstOpen] === true) this.firstOpen += 1;
  }
  get open(): readonly Operation[] {
    if (this.complete) return NOTHING;
    return this.operations.filter((_, i) => this.done[i] !== true);
  }
}
