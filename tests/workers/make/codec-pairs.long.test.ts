import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { isCarried, keepsFullRange } from '../../../jobs/codecs/carried.js';
import { type PictureCodecName, pictureCodec } from '../../../jobs/codecs/picture-codecs.js';
import type { ContainerName } from '../../../jobs/containers/containers.js';
import type { PictureTag } from '../../../jobs/containers/picture-tag.js';
import type { Colour, ScanName } from '../../../jobs/manifest/colour.js';
import type { PlannedClip } from '../../../jobs/plan/plan.js';
import type { RangeName } from '../../../signal/quantise.js';
import { Making, NOISE } from './making.js';
import { codec } from './recipes.js';

/** How a codec is made, and what its decoder then delivers. A codec without a row does not compile. */
interface Row {
  readonly pixelFormat: string;
  readonly profile?: string;
  readonly lossless?: boolean;
  /** Of the decoder, where it is another. */
  readonly back?: string;
}
const ROWS: Readonly<Record<PictureCodecName, readonly Row[]>> = {
  prores: [
    { pixelFormat: 'yuv422p10le', profile: 'hq' },
    { pixelFormat: 'yuv444p10le', profile: '4444', back: 'yuv444p12le' },
  ],
  cineform: [
    { pixelFormat: 'yuv422p10le', profile: 'film3+' },
    { pixelFormat: 'gbrp12le', profile: 'film3+' },
  ],
  ffv1: [{ pixelFormat: 'yuv422p10le' }, { pixelFormat: 'yuv420p' }, { pixelFormat: 'gbrp12le' }],
  h264: [{ pixelFormat: 'yuv420p' }, { pixelFormat: 'yuv422p10le', lossless: true }],
  // Numbered pictures are read back in tests/system/sequence-outputs.long.test.ts.
  dpx: [],
  exr: [],
  tiff: [],
  hevc: [{ pixelFormat: 'yuv420p10le' }, { pixelFormat: 'yuv422p10le', lossless: true }],
};

const PAIRS = (Object.keys(ROWS) as PictureCodecName[]).flatMap((name) =>
  pictureCodec(name).containers.flatMap((container) =>
    ROWS[name].map((row) => ({ name, container, row, format: row.pixelFormat })),
  ),
);

let making: Making;
const clips = new Map<string, PlannedClip>();
beforeAll(async () => {
  making = await Making.begin();
});
afterAll(() => making.end());

/**
 * A clip without loss in the very samples a row codes, so that nothing but coding and wrapping is left to do.
 */
async function clipOf({ pixelFormat }: Row): Promise<PlannedClip> {
  const known = clips.get(pixelFormat);
  if (known !== undefined) return known;
  const clip = await making.source(
    `${pixelFormat}.mkv`,
    NOISE,
    ...['-pix_fmt', pixelFormat, '-c:v', 'ffv1', '-c:a', 'pcm_s24le'],
    ...['-chroma_sample_location', 'topleft'],
  );
  clips.set(pixelFormat, clip);
  return clip;
}

function colourOf({ pixelFormat }: Row, range: RangeName): Colour {
  const matrix = pixelFormat.startsWith('gbr') ? 'gbr' : 'bt2020nc';
  return { primaries: 'bt2020', transfer: 'smpte2084', matrix, range };
}

interface Pair {
  readonly name: PictureCodecName;
  readonly container: ContainerName;
  readonly row: Row;
}

function carries({ name, container }: Pair, tag: PictureTag): boolean {
  return isCarried(tag, pictureCodec(name), container);
}

/**
 * The ranges a plan asks of a pair: the full range of Y'CbCr only where it is read back, of R'G'B' always.
 */
function rangesOf(pair: Pair): RangeName[] {
  if (pair.row.pixelFormat.startsWith('gbr')) return carries(pair, 'range') ? ['narrow', 'full'] : ['full'];
  return keepsFullRange(pictureCodec(pair.name), pair.container) ? ['narrow', 'full'] : ['narrow'];
}

async function makePair(pair: Pair, range: RangeName) {
  const { name, container, row } = pair;
  const listed = pictureCodec(name);
  const colour = colourOf(row, range);
  // Both orders are seen: one with either range, the last with the only one.
  const orders = carries(pair, 'field-order') ? listed.fields : [];
  const scan: ScanName = (range === 'full' ? orders[0] : orders.at(-1)) ?? 'progressive';
  const clip = await clipOf(row);
  const made = await making.make(
    {
      container,
      video: codec(listed.encoder, row.pixelFormat, {
        profile: row.profile ?? null,
        lossless: row.lossless ?? false,
      }),
      sourceColour: colour,
      colour,
      // 128 x 5/4 = 160: a shown width in whole pixels.
      sampleAspect: '5/4',
      sourceScan: scan,
      scan,
      timecode: '01:00:00;02',
      audio: {
        codec: container === 'mp4' ? 'aac' : 'pcm_s24le',
        sampleRate: 48000,
        bitRate: null,
        streams: [1],
        stereo: null,
        chosen: false,
      },
    },
    clip,
  );
  return { made, colour, scan, clip, listed };
}

describe.each(PAIRS)('$name in $container, $format', (pair) => {
  const { row } = pair;
  it.each(rangesOf(pair))('says of a %s-range picture what it was told, read back', async (range) => {
    const { made, colour, scan, clip, listed } = await makePair(pair, range);
    expect(made.notes).toEqual([]);
    expect(made.video).toMatchObject({
      codec: listed.decodedAs,
      pixelFormat: (row.back ?? row.pixelFormat).replace(
        'yuv420p',
        range === 'full' && listed.name === 'h264' ? 'yuvj420p' : 'yuv420p',
      ),
      width: 128,
      height: 72,
      frames: 10,
      frameRate: '30000/1001',
      constantRate: true,
      sampleAspect: '5/4',
      scan,
      colour: {
        primaries: carries(pair, 'primaries') ? colour.primaries : null,
        transfer: carries(pair, 'transfer') ? colour.transfer : null,
        matrix: carries(pair, 'matrix') ? colour.matrix : null,
        // What a pair cannot say is read by the rule for silence: Y'CbCr is narrow, R'G'B' full.
        range: carries(pair, 'range') ? range : null,
      },
    });
    if (row.pixelFormat.includes('420'))
      expect(made.video?.chromaLocation).toBe(carries(pair, 'chroma-siting') ? 'topleft' : null);
    // Chroma that a file cannot place is moved to where silence means it to be.
    const isKept = !row.pixelFormat.includes('420') || carries(pair, 'chroma-siting');
    expect(made.container.startTimecode).toBe('01:00:00;02');
    expect(made.audio).toMatchObject([{ channels: 1, sampleRate: 48000 }]);
    if (isKept && (listed.fidelity === 'exact' || row.lossless === true))
      expect(await making.hash(made.path, row.pixelFormat)).toBe(
        await making.hash(clip.path, row.pixelFormat),
      );
  });
});
