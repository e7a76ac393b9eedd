import { parseRational, type Rational } from '../../signal/rational.js';
import type { Packets } from './packets.js';
import { type ProbeOptions, questionOf, runFfprobeLines } from './run-ffprobe.js';

/** Frames of 23 hours at 60 a second. */
const MOST_PACKETS = 5_000_000;
/** Listing packets reads the whole file. */
const TIMEOUT_MS = 60 * 60_000;

/**
 * Lists the packets of one stream by reading the whole file, for containers whose tables are not read here.
 * Null where the stream has no time base or more packets than any real file.
 *
 * Throws the errors of `runFfprobe`.
 */
export function listPackets(path: string, stream: number, options: ProbeOptions): Promise<Packets | null> {
  const list = () => listAnew(path, stream, options);
  return options.asked?.packets.once(questionOf(path, [String(stream)], options), list) ?? list();
}

async function listAnew(path: string, stream: number, options: ProbeOptions): Promise<Packets | null> {
  const list = new PacketList();
  await runFfprobeLines(
    path,
    [
      ...['-select_streams', String(stream), '-show_packets'],
      ...['-show_entries', 'packet=pts,dts,size,flags:stream=time_base', '-of', 'csv=p=0'],
    ],
    (line) => list.add(line),
    { ...options, timeoutMs: Math.max(options.timeoutMs ?? 0, TIMEOUT_MS) },
  );
  return list.packets();
}

/** Collects packets in arrays that grow by doubling. */
class PacketList {
  #count = 0;
  #bytes = new Uint32Array(4096);
  #decode = new Float64Array(4096);
  #presentation = new Float64Array(4096);
  #key = new Uint8Array(4096);
  #hidden = new Uint8Array(4096);
  #timeBase: Rational | null = null;

  /**
   * `pts,dts,size,flags`; `N/A` for missing values. Side data is on separate lines, and the time base follows
   * after all packets.
   */
  add(line: string): void {
    const [pts, dts, size, flags] = line.split(',');
    if (pts?.includes('/')) this.#timeBase = parseRational(pts);
    if (flags === undefined || !/^\d+$/.test(size ?? '')) return;
    const at = this.#count++;
    if (at >= MOST_PACKETS) return;
    if (at === this.#bytes.length) this.#grow();
    this.#bytes[at] = Number(size);
    this.#presentation[at] = Number(pts);
    this.#decode[at] = Number(dts);
    this.#key[at] = flags.startsWith('K') ? 1 : 0;
    this.#hidden[at] = flags[1] === 'D' ? 1 : 0;
  }

  packets(): Packets | null {
    const [count, timeBase] = [this.#count, this.#timeBase];
    if (count > MOST_PACKETS || timeBase === null || timeBase.num === 0) return null;
    return {
      count,
      bytes: this.#bytes.subarray(0, count),
      decodeTimes: this.#decode.subarray(0, count),
      presentationTimes: this.#presentation.subarray(0, count),
      key: this.#key.subarray(0, count),
      hidden: this.#hidden.subarray(0, count),
      timeBase,
    };
  }

  #grow(): void {
    const length = this.#bytes.length * 2;
    const longer = <T extends Uint32Array | Float64Array | Uint8Array>(into: T, from: T): T => {
      into.set(from);
      return into;
    };
    this.#bytes = longer(new Uint32Array(length), this.#bytes);
    this.#decode = longer(new Float64Array(length), this.#decode);
    this.#presentation = longer(new Float64Array(length), this.#presentation);
    this.#key = longer(new Uint8Array(length), this.#key);
    this.#hidden = longer(new Uint8Array(length), this.#hidden);
  }
}
