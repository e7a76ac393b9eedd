import type { PictureOrder } from '../../jobs/codecs/picture-codec.js';
import { type ListedPictureCodec, PICTURE_CODECS } from '../../jobs/codecs/picture-codecs.js';
import { fixed } from '../../jobs/words/numbers.js';
import { linesBelow } from '../../workers/make/lines-below.js';
import { describePixelFormat } from '../../workers/probe/pixel-format.js';
import { HEIGHT, Pairs, PICTURE } from '../workers/compare/pairs.js';

/**
 * Prints the table of bits kept of docs/encoders.md: 12-bit originals through every encoder, its profiles and
 * usual formats, decoded again and compared sample by sample. `npm run bits`.
 */
const PROFILES: Readonly<Record<string, readonly (string | null)[]>> = {
  prores: ['proxy', 'lt', 'standard', 'hq', '4444', '4444xq'],
  cineform: ['low', 'film1', 'film3+'],
};
const PICTURES = [
  {
    name: 'soft ramp',
    source: 'gradients=s=192x108:r=25:c0=black:c1=white:n=2:x0=0:y0=0:x1=191:y1=0:speed=0.01',
  },
  { name: 'shapes under grain', source: PICTURE },
];

interface Row {
  readonly codec: ListedPictureCodec;
  readonly profile: string | null;
  readonly pixelFormat: string;
  readonly lossless: boolean;
}

function rows(): Row[] {
  const all: readonly ListedPictureCodec[] = PICTURE_CODECS;
  return all.flatMap((codec) =>
    (PROFILES[codec.name] ?? [null]).flatMap((profile) =>
      codec.usualFormats.flatMap((pixelFormat): Row[] => {
        const is444 = pixelFormat.includes('444');
        if (codec.name === 'prores' && is444 !== profile?.startsWith('4444')) return [];
        const modes = codec.fidelity === 'exact' ? [true] : codec.losslessForm ? [false, true] : [false];
        return modes.map((lossless) => ({ codec, profile, pixelFormat, lossless }));
      }),
    ),
  );
}

/** Encoder and options of a row, as a batch gives them; the encoder keeps its own rate. */
function optionsOf({ codec, profile, pixelFormat, lossless }: Row): string[] {
  const format = describePixelFormat(pixelFormat);
  const order: PictureOrder = {
    container: 'mkv',
    video: {
      ...{ profile, bitDepth: format?.bitDepth ?? 8, chroma: format?.chroma ?? '4:2:0', alpha: false },
      ...{ crf: null, lossless, maxBitRate: null },
    },
    ...{ raster: { width: 192, height: 108 }, scan: 'progressive', frameRate: '25/1' },
    hdr: { mastering: null, lightLevel: null },
  };
  return codec.encoderArguments(order, null);
}

/** The 12-bit format of the same planes. */
const deep = (pixelFormat: string): string => `${pixelFormat.replace(/(p)(\d+le)?$/, '$1')}12le`;

async function main(): Promise<void> {
  const pairs = await Pairs.begin();
  const all = rows();
  const found: string[][] = all.map(() => []);
  try {
    for (const [at, { source }] of PICTURES.entries()) {
      for (const [index, row] of all.entries()) {
        const [original, copy] = [`${at}-${index}.mkv`, `${at}-${index}-copy.mkv`];
        const path = await pairs.draw(original, deep(row.pixelFormat), source);
        const lines = linesBelow(row.codec.encoder, HEIGHT);
        const filters = ['zscale=dither=error_diffusion', `format=${row.pixelFormat}`, ...lines].join(',');
        await pairs.copy(path, [{ name: copy, filters, options: optionsOf(row) }]);
        await pairs.raw([
          { name: original, pixelFormat: deep(row.pixelFormat) },
          { name: copy, pixelFormat: row.pixelFormat },
        ]);
        const { bitsKept } = pairs.compareRaw(original, copy, row.pixelFormat, deep(row.pixelFormat));
        found[index]?.push(fixed(bitsKept, 1));
      }
    }
  } finally {
    await pairs.end();
  }
  const heads = PICTURES.map(({ name }) => name).join(' | ');
  process.stdout.write(
    `| encoder | format | ${heads} |\n| --- | --- | ${PICTURES.map(() => '---').join(' | ')} |\n`,
  );
  for (const [index, { codec, profile, pixelFormat, lossless }] of all.entries()) {
    const mode = [profile, lossless && codec.fidelity !== 'exact' ? 'lossless' : null]
      .filter(Boolean)
      .join(' ');
    const name = mode === '' ? codec.title : `${codec.title} ${mode}`;
    process.stdout.write(`| ${name} | \`${pixelFormat}\` | ${found[index]?.join(' | ') ?? ''} |\n`);
  }
}

await main();
