import type { Packets } from './packets.js';

/** Answers by their questions: each is asked for once, and a failure is not kept. */
class Answers<T> {
  readonly #known = new Map<string, Promise<T>>();

  once(question: string, ask: () => Promise<T>): Promise<T> {
    const known = this.#known.get(question);
    if (known !== undefined) return known;
    const answer = ask();
    this.#known.set(question, answer);
    answer.catch(() => this.#known.delete(question));
    return answer;
  }
}

/**
 * What ffprobe was asked of a file while that certainly stays as it is: to start it costs more than most of
 * its answers.
 */
export interface Asked {
  readonly texts: Answers<string>;
  readonly packets: Answers<Packets | null>;
}

export function nothingAsked(): Asked {
  return { texts: new Answers(), packets: new Answers() };
}
