import type { ClipFacts } from '../jobs/manifest/facts.js';

/** A worker that runs for weeks keeps those of the last hours: a few kilobytes each. */
const MOST = 2_000;

/**
 * The facts of outputs that this process measured, by their content keys. Whoever takes one has to know that
 * the file is still the one that was measured.
 */
export class ProbedOutputs {
  readonly #facts = new Map<string, ClipFacts>();

  keep(key: string, facts: ClipFacts): void {
    this.#facts.delete(key);
    this.#facts.set(key, facts);
    if (this.#facts.size <= MOST) return;
    const [oldest] = this.#facts.keys();
    if (oldest !== undefined) this.#facts.delete(oldest);
  }

  of(key: string): ClipFacts | undefined {
    return this.#facts.get(key);
  }
}
