import { GoodgateError } from '../../../jobs/errors.js';
import type { ClipFacts } from '../../../jobs/manifest/facts.js';
import type { ContainerTrack, Layer, Wrapper } from '../../../jobs/measurement/measured-container.js';
import type { CodedLoudness } from '../../../jobs/measurement/measured-sound.js';
import { bitstreamFacts } from '../../probe/bitstream/bitstream-facts.js';
import { readBoxes } from '../../probe/boxes/read-boxes.js';
import { DamagedBoxes } from '../../probe/boxes/walk-boxes.js';
import { containerByFfprobe } from '../../probe/container-by-ffprobe.js';
import { listPackets } from '../../probe/list-packets.js';
import type { Packets } from '../../probe/packets.js';
import type { ProbeOptions } from '../../probe/run-ffprobe.js';
import { codedLoudness } from '../sound/coded-loudness.js';

/** What was read of a file besides its samples, before the flags of frames are known. */
export interface ContainerReading {
  readonly container: Layer | null;
  readonly bitstream: Layer | null;
  readonly wrapper: Wrapper | null;
  readonly packets: Packets | null;
  /** For each sound stream, in the order of the facts. */
  readonly codedLoudness: readonly (CodedLoudness | null)[];
  readonly unmeasured: readonly { readonly what: string; readonly why: string }[];
}

/**
 * Reads container, bitstream and packets of a file independently: what cannot be read is null, with the
 * reason in `unmeasured`. Throws only GoodgateError of the family `world` (`interrupted`, `ffmpeg-failed`,
 * ...) and `missing-tool`: damage is never an error here.
 */
export async function readContainer(
  path: string,
  facts: ClipFacts,
  options: ProbeOptions & { readonly bitstream?: Layer | null | undefined },
): Promise<ContainerReading> {
  const unmeasured: { what: string; why: string }[] = [];
  const attempt = async <T>(what: string, read: () => Promise<T>): Promise<T | null> => {
    try {
      return await read();
    } catch (error) {
      if (isOfTheWorld(error)) throw error;
      unmeasured.push({ what, why: reasonOf(error) });
      return null;
    }
  };
  const { video } = facts;
  const stream = video?.stream ?? null;
  const isBoxed = facts.container.format.split(',').includes('mov');
  const boxed = isBoxed ? await attempt('wrapper', () => readBoxes(path, facts.bytes, options.signal)) : null;
  const probed =
    boxed === null
      ? await attempt('wrapper.tracks', () =>
          containerByFfprobe(path, facts.container.format, stream, options),
        )
      : null;
  const [bitstream, packets] = await Promise.all([
    options.bitstream ??
      (video &&
        attempt('layers.bitstream', () =>
          bitstreamFacts(path, video.stream, video.codec, options, boxed?.head),
        )),
    boxed?.packets ?? (video && attempt('coding', () => listPackets(path, video.stream, options))),
  ]);
  const loudness: (CodedLoudness | null)[] = [];
  for (const [index, sound] of facts.audio.entries()) {
    loudness.push(await attempt(`audio[${index}].codedLoudness`, () => codedLoudness(path, sound, options)));
  }
  const container = isBoxed ? (boxed?.picture ?? null) : (probed?.picture ?? null);
  const damage = unmeasured.find(({ what }) => what.startsWith('wrapper'))?.why;
  if (video && container === null && damage !== undefined) {
    unmeasured.push({ what: 'layers.container', why: damage });
  }
  return {
    container,
    bitstream,
    wrapper: boxed?.wrapper ?? (probed && looseWrapper(probed.tracks)),
    packets,
    codedLoudness: loudness,
    unmeasured,
  };
}

/** A container whose structure is not read: only its tracks are known. */
function looseWrapper(tracks: readonly ContainerTrack[]): Wrapper {
  return {
    brand: null,
    indexFirst: null,
    fragments: null,
    trailingBytes: null,
    tracks: [...tracks],
    timecode: null,
  };
}

/**
 * Outside failures are thrown: otherwise what they left out would look like something the file does not
 * declare.
 */
function isOfTheWorld(error: unknown): boolean {
  if (!(error instanceof GoodgateError)) return false;
  return error.code === 'missing-tool' || (error.family === 'world' && error.code !== 'probe-failed');
}

function reasonOf(error: unknown): string {
  if (error instanceof GoodgateError) return error.what;
  if (error instanceof DamagedBoxes) return error.message;
  return `the file could not be read (${error instanceof Error ? error.message : String(error)})`;
}
