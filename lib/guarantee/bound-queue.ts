/** Items in the order of their bound, the largest first. */
export class BoundQueue<T extends { readonly bound: number }> {
  private readonly heap: T[] = [];

  /** Number of items waiting. */
  get size(): number {
    return this.heap.length;
  }

  /** The item with the largest bound; undefined when empty. */
  get first(): T | undefined {
    return this.heap[0];
  }

  /** Adds an item. */
  push(item: T): void {
    const { heap } = this;
    heap.push(item);
    let child = heap.length - 1;
    while (child > 0) {
      const parent = (child - 1) >> 1;
      if (heap[parent]!.bound >= item.bound) break;
      heap[child] = heap[parent]!;
      child = parent;
    }
    heap[child] = item;
  }

  /** Removes and returns the item with the largest bound. */
  take(): T | undefined {
    const { heap } = this;
    const top = heap[0];
    const last = heap.pop();
    if (heap.length === 0 || last === undefined) return top;
    let parent = 0;
    for (;;) {
      const left = 2 * parent + 1;
      if (left >= heap.length) break;
      const right = left + 1;
      const child = right < heap.length && heap[right]!.bound > heap[left]!.bound ? right : left;
      if (heap[child]!.bound <= last.bound) break;
      heap[parent] = heap[child]!;
      parent = child;
    }
    heap[parent] = last;
    return top;
  }
}
