import { z } from 'zod';
import type { PictureCodec } from '../codecs/picture-codec.js';
import { PICTURE_CODECS } from '../codecs/picture-codecs.js';
import { SOUND_CODECS } from '../codecs/sound-codecs.js';
import { CONTAINERS } from '../containers/containers.js';
import { field } from '../documents/field.js';
import {
  chromaName,
  rangeName,
  rationalText,
  writtenMatrix,
  writtenPrimaries,
  writtenTransfer,
} from '../manifest/colour.js';
import { requirementSet } from '../requirements/requirement.js';
import { targetName } from './target-name.js';

const CODECS: readonly PictureCodec[] = PICTURE_CODECS;
/** Codecs with a constant-quality figure (CRF). */
const BY_QUALITY = namesOf(CODECS.filter(({ defaultCrf }) => defaultCrf !== null));
/** Codecs with a lossless mode, and those that are always lossless. */
const LOSSLESS = namesOf(CODECS.filter(({ losslessForm }) => losslessForm));
const ALWAYS_LOSSLESS = namesOf(CODECS.filter(({ fidelity }) => fidelity === 'exact'));

function namesOf(codecs: readonly PictureCodec[]): string[] {
  return codecs.map(({ name }) => name);
}

/** Defaults of a codec setting, in words: `hq for prores`. */
function defaultsOf(setting: 'defaultProfile' | 'defaultCrf'): string {
  return CODECS.flatMap(({ name, [setting]: value }) => {
    if (value === null) return [];
    return [`${typeof value === 'string' ? `\`${value}\`` : value} for ${name}`];
  }).join(', ');
}

const positiveInt = z.number().int().positive();
const source = z.literal('source');

const videoRecipe = z
  .strictObject({
    codec: field('Codec of the picture.', z.enum(PICTURE_CODECS.map(({ name }) => name))),
    profile: field(
      "The codec's own profile name, such as `main10` of hevc. Default: " +
        `${defaultsOf('defaultProfile')}, otherwise chosen by the encoder.`,
      z.string().optional(),
    ),
    bitDepth: field(
      "Bits of a sample, 8 to 16; `source` keeps the depth the clip's decoder delivers.",
      z.union([z.number().int().min(8).max(16), source]),
    ),
    chroma: field("Chroma subsampling, in quotes; `source` keeps the clip's.", z.union([chromaName, source])),
    rgb: field(
      'Whether to code RGB (matrix `gbr`), for codecs that keep their full depth only in RGB. ' +
        "`source`: RGB stays RGB, Y'CbCr stays Y'CbCr.",
      z.union([z.boolean(), source]).default(false),
    ),
    crf: field(
      `Constant-quality figure of ${BY_QUALITY.join(' and ')}, 0 to 51; lower is better. Default: ` +
        `${defaultsOf('defaultCrf')}.`,
      z.number().min(0).max(51).optional(),
    ),
    lossless: field(
      `Whether to code without loss: ${LOSSLESS.join(', ')} can, others refuse; ` +
        `${ALWAYS_LOSSLESS.join(' and ')} always does. \`crf\` and \`maxBitRate\` are then not used.`,
      z.boolean().default(false),
    ),
    maxBitRate: field(
      `Highest bit rate of ${BY_QUALITY.join(' and ')}, bits a second. Default: no limit.`,
      positiveInt.optional(),
    ),
  })
  .refine(({ codec, lossless }) => !lossless || LOSSLESS.includes(codec), {
    path: ['lossless'],
    message: `a codec that has a lossless form (${LOSSLESS.join(', ')}), or false`,
  });

const rasterRecipe = z.union([
  source,
  z.strictObject({
    maxWidth: field('Largest width, in square pixels: a smaller picture is not enlarged.', positiveInt),
    maxHeight: field('Largest height, in lines: a smaller picture is not enlarged.', positiveInt),
  }),
  z.strictObject({
    width: field('Width, in square pixels.', positiveInt),
    height: field('Height, in lines.', positiveInt),
    fit: field(
      'How a picture of another shape fills it: `pad` with black bars, or `crop`.',
      z.enum(['pad', 'crop']).default('pad'),
    ),
  }),
]);

const colourRecipe = z.union([
  source,
  z.strictObject({
    transfer: field(
      'Transfer function, by its H.273 name or trade name: `bt709` (Rec.709), `smpte2084` (PQ).',
      writtenTransfer,
    ),
    primaries: field(
      'Primaries, by their H.273 name or trade name: `bt2020` or `Rec.2020`.',
      writtenPrimaries,
    ),
    matrix: field(
      "Y'CbCr matrix, by its H.273 name or trade name: `bt709`, `bt2020nc`; `gbr` for RGB.",
      writtenMatrix,
    ),
    range: field('Quantisation range (ITU-R BT.2100).', rangeName.default('narrow')),
  }),
]);

const audioRecipe = z.strictObject({
  codec: field(
    `Codec of the sound: ${SOUND_CODECS.map(({ name, title }) => `\`${name}\` (${title})`).join(', ')}.`,
    z.enum(SOUND_CODECS.map(({ name }) => name)),
  ),
  sampleRate: field("Sample rate, Hz. Default: the clip's.", positiveInt.optional()),
  channels: field(
    '`source` keeps every track and channel; `stereo` makes two channels: of the first track, of the first two where ' +
      'both are mono, or of those chosen in the manifest (`sound`).',
    z.enum(['source', 'stereo']).default('source'),
  ),
  bitRate: field("Bit rate of a stream, bits a second. Default: the encoder's own.", positiveInt.optional()),
});

export const makeRecipe = z.strictObject({
  container: field(
    `Container of the output. ${CODECS.map(({ name, containers }) => `${name}: ${containers.join(', ')}`).join('; ')}.`,
    z.enum(CONTAINERS.map(({ name }) => name)),
  ),
  video: field('How the picture is coded.', videoRecipe),
  raster: field(
    'Size of the picture: `source`, a largest size to scale down to, or an exact one.',
    rasterRecipe.default('source'),
  ),
  scan: field(
    "`source` keeps the clip's scan, but deinterlaces where the raster changes or the codec is hevc; " +
      '`progressive` always deinterlaces, one frame of every interlaced frame.',
    z.enum(['source', 'progressive']).default('source'),
  ),
  frameRate: field(
    "Frames a second, as a rational: `25/1`, `30000/1001`; `source` keeps the clip's.",
    z.union([source, rationalText]).default('source'),
  ),
  colour: field(
    '`source` keeps transfer and primaries (camera log stays log); a colour means that the picture is rendered to it.',
    colourRecipe.default('source'),
  ),
  look: field(
    "Whether the clip's look is applied when the picture is rendered to a colour.",
    z.boolean().default(false),
  ),
  burnIn: field(
    'What is burnt into the picture. Default: nothing.',
    z
      .strictObject({
        timecode: field(
          'The running timecode; from 00:00:00:00 where the clip has none.',
          z.boolean().default(false),
        ),
        clipName: field('The name of the clip.', z.boolean().default(false)),
        reel: field(
          'The reel, before the name of the clip: it tells clips of one name apart. Nothing where neither clip nor manifest names one.',
          z.boolean().default(false),
        ),
        text: field(
          'A line of your own, below the name: for whom it is, say.',
          z.string().min(1).max(200).optional(),
        ),
      })
      .optional(),
  ),
  audio: field('How the sound is coded. Default: no sound.', audioRecipe.optional()),
  carry: field(
    'What is kept besides picture, sound, timecode and reel: subtitles, chapters, descriptive metadata such as time of ' +
      'recording, place and comments. `none`: nothing, since metadata can name people and places. `possible`: what the ' +
      'container can keep. `all`: as `possible`, and clips that would lose alpha, tracks, captions or HDR metadata are ' +
      'refused. The plan lists what is lost.',
    z.enum(['none', 'possible', 'all']).default('none'),
  ),
});
export type MakeRecipe = z.infer<typeof makeRecipe>;

export const target = z
  .strictObject({
    schema: field(
      'That this is a target, in the first edition of its schema.',
      z.literal('goodgate/target@1'),
    ),
    name: field(
      'Name of the target, as manifests, waivers and reports use it: lower-case letters, digits and ' +
        'hyphens, 64 at most.',
      targetName,
    ),
    title: field('Title in lists and reports.', z.string().min(1)),
    about: field('One or two sentences to help choose a target.', z.string().optional()),
    standards: field('Documents the target follows.', z.array(z.string()).optional()),
    extends: field(
      'The target this one inherits from, by name or path: keys that are left out come from there, and `null` under a key ' +
        'removes it.',
      z.string().min(1).optional(),
    ),
    make: field(
      'How to make a file. What is left out stays as in the original, except sound: without `audio` there is none.',
      makeRecipe.optional(),
    ),
    require: field(
      'What the file must measure: each requirement with its limits.',
      requirementSet.optional(),
    ),
  })
  .refine((t) => t.make !== undefined || t.require !== undefined, {
    message: 'a target needs `make` (how to make a file), `require` (what it must measure), or both',
  })
  .describe('A delivery target: how to make a file, and what the file must measure.');
export type Target = z.infer<typeof target>;
