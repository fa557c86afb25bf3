/** A binary heap: the least item first. Equal items come out in an order that depends on pushes only. */
export class MinHeap<T> {
  private readonly items: T[] = [];
  private readonly less: (a: T, b: T) => boolean;

  /** `less(a, b)`: true where a comes before b; a strict order. */
  constructor(less: (a: T, b: T) => boolean) {
    this.less = less;
  }

  get size(): number {
    return this.items.length;
  }

  /** The least item, or undefined when empty. */
  peek(): T | undefined {
    return this.items[0];
  }

  push(item: T): void {
    const { items, less } = this;
    let at = items.length;
    items.push(item);
    while (at > 0) {
      const up = (at - 1) >> 1;
      const parent = items[up] as T;
      if (!less(item, parent)) break;
      items[at] = parent;
      at = up;
    }
    items[at] = item;
  }

  /** Takes the least item out; undefined when empty. */
  pop(): T | undefined {
    const { items, less } = this;
    const top = items[0];
    const last = items.pop();
    if (items.length === 0 || last === undefined) return top;
    let at = 0;
    for (;;) {
      let down = 2 * at + 1;
      if (down >= items.length) break;
      if (down + 1 < items.length && less(items[down + 1] as T, items[down] as T)) down += 1;
      if (!less(items[down] as T, last)) break;
      items[at] = items[down] as T;
      at = down;
    }
    items[at] = last;
    return top;
  }
}
