/**
 * Integers in memory shared by threads, with a notification counter: a change increments it and wakes the
 * threads that wait. Since the counter changes with every notification, none is missed between reading a
 * field and going to sleep.
 */
export class SharedFields {
  readonly memory: SharedArrayBuffer;
  readonly #fields: Int32Array;
  readonly #bell: number;

  constructor(count: number, memory = new SharedArrayBuffer((count + 1) * Int32Array.BYTES_PER_ELEMENT)) {
    this.memory = memory;
    this.#fields = new Int32Array(memory);
    this.#bell = count;
  }

  load(field: number): number {
    return Atomics.load(this.#fields, field);
  }

  /** Without notification: for values that take effect with a later change. */
  store(field: number, value: number): void {
    Atomics.store(this.#fields, field, value);
  }

  add(field: number): void {
    Atomics.add(this.#fields, field, 1);
  }

  ring(): void {
    Atomics.add(this.#fields, this.#bell, 1);
    Atomics.notify(this.#fields, this.#bell);
  }

  /** Blocks the thread while the condition holds; false when the time is up before it ends. */
  waitWhile(holds: () => boolean, timeoutMs = Number.POSITIVE_INFINITY): boolean {
    const deadline = Date.now() + timeoutMs;
    for (;;) {
      const rings = this.load(this.#bell);
      if (!holds()) return true;
      const left = deadline - Date.now();
      if (left <= 0) return false;
      Atomics.wait(this.#fields, this.#bell, rings, left);
    }
  }
}
