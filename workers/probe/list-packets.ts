import { z } from 'zod';
import { parseRational, type Rational } from '../../signal/rational.js';
import { type ProbeOptions, runFfprobe, runFfprobeLines } from './run-ffprobe.js';

/**
 * The packets of a picture in coded order. Times in ticks of `timeBase` seconds, NaN where a packet has none.
 */
export interface Packets {
  readonly count: number;
  readonly bytes: Uint32Array;
  readonly decodeTimes: Float64Array;
  readonly presentationTimes: Float64Array;
  readonly key: Uint8Array;
  /** Packets that an edit list hides (decoded but not shown); absent where not known. */
  readonly hidden?: Uint8Array;
  /**
   * Duration of the frame presented last, from the tables of MOV and MP4, seconds; null or absent where not
   * known.
   */
  readonly lastSeconds?: number | null;
  readonly timeBase: Rational;
}

/** Frames of 23 hours at 60 a second. */
const MOST_PACKETS = 5_000_000;
/** Listing packets reads the whole file. */
const TIMEOUT_MS = 60 * 60_000;

const timeBaseAnswer = z.object({
  streams: z.array(z.object({ time_base: z.string().optional() })).default([]),
});

/**
 * Lists the packets of one stream by reading the whole file, for containers whose tables are not read here.
 * Null where the stream has no time base or more packets than any real file.
 *
 * Throws the errors of `runFfprobe`.
 */
export async function listPackets(
  path: string,
  stream: number,
  options: ProbeOptions,
): Promise<Packets | null> {
  const select = ['-select_streams', String(stream)];
  const { streams } = await runFfprobe(
    path,
    [...select, '-show_entries', 'stream=time_base'],
    timeBaseAnswer,
    options,
  );
  const timeBase = parseRational(streams[0]?.time_base ?? '');
  if (timeBase === null || timeBase.num === 0) return null;
  const list = new PacketList();
  await runFfprobeLines(
    path,
    [...select, '-show_packets', '-show_entries', 'packet=pts,dts,size,flags', '-of', 'csv=p=0'],
    (line) => list.add(line),
    { ...options, timeoutMs: Math.max(options.timeoutMs ?? 0, TIMEOUT_MS) },
  );
  return list.packets(timeBase);
}

/** Collects packets in arrays that grow by doubling. */
class PacketList {
  #count = 0;
  #bytes = new Uint32Array(4096);
  #decode = new Float64Array(4096);
  #presentation = new Float64Array(4096);
  #key = new Uint8Array(4096);
  #hidden = new Uint8Array(4096);

  /** `pts,dts,size,flags`; `N/A` for missing values. Side data is on separate lines. */
  add(line: string): void {
    const [pts, dts, size, flags] = line.split(',');
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

  packets(timeBase: Rational): Packets | null {
    const count = this.#count;
    if (count > MOST_PACKETS) return null;
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
