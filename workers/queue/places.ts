/**
 * The places of a worker: so many jobs it may work on at once. A clip takes one; one that waits for parts of
 * itself leaves its place to them; what clips leave is for parts of anybody's files.
 */
export class Places {
  readonly all: number;
  readonly #changed: () => void;
  readonly #taken = { clips: 0, waiting: 0, parts: 0 };
  #isOpen = true;

  /** @param changed is called whenever there may be more or fewer places for parts */
  constructor(all: number, changed: () => void = () => {}) {
    this.all = all;
    this.#changed = changed;
  }

  /**
   * Outside its hours a worker finishes what it has: there are places for parts only while a clip of its own
   * waits for some.
   */
  get isOpen(): boolean {
    return this.#isOpen;
  }

  set isOpen(isOpen: boolean) {
    this.#isOpen = isOpen;
    this.#changed();
  }

  /** Whether one more clip can be begun. */
  get hasRoom(): boolean {
    return this.#isOpen && this.#taken.clips < this.all;
  }

  /** Places one clip may have to itself, in fairness to the others. */
  get ofAClip(): number {
    const { clips, parts } = this.#taken;
    return Math.max(1, Math.floor((this.all - parts) / Math.max(clips, 1)));
  }

  /**
   * Of so many cores those of one clip, at least two: a decoder, a filter and an encoder of one thread each
   * wait for each other.
   */
  coresOfAClip(cores: number): number {
    return Math.max(2, Math.ceil((cores * this.ofAClip) / this.all));
  }

  /** How many parts may be at work. */
  get forParts(): number {
    const { clips, waiting } = this.#taken;
    return this.#isOpen ? Math.max(this.all - clips + waiting, 0) : waiting;
  }

  /** Places nobody has. */
  get idle(): number {
    return Math.max(this.forParts - this.#taken.parts, 0);
  }

  /** A clip is worked on. */
  clip<T>(work: () => Promise<T>): Promise<T> {
    return this.#during('clips', work);
  }

  /** A clip waits for parts of itself. */
  waiting<T>(work: () => Promise<T>): Promise<T> {
    return this.#during('waiting', work);
  }

  /** A part is measured. */
  part<T>(work: () => Promise<T>): Promise<T> {
    return this.#during('parts', work);
  }

  async #during<T>(kind: 'clips' | 'waiting' | 'parts', work: () => Promise<T>): Promise<T> {
    this.#taken[kind]++;
    this.#changed();
    try {
      return await work();
    } finally {
      this.#taken[kind]--;
      this.#changed();
    }
  }
}
