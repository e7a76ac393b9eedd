import { KERNEL_BYTES } from './sizes.js';

/**
 * Gives out places in a memory one after the other, each on a boundary of 64 bytes and with room behind it.
 */
export class MemoryPlan {
  #end = KERNEL_BYTES;

  /** Address of `bytes` new bytes. Vectors may be read and written up to 64 bytes past the end. */
  take(bytes: number): number {
    const at = this.#end;
    this.#end = Math.ceil((at + bytes + 64) / 64) * 64;
    return at;
  }

  /** WebAssembly pages of 64 KiB that hold everything taken. */
  get pages(): number {
    return Math.ceil(this.#end / 65_536);
  }
}
