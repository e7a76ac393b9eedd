import { isCarried, keepsFullRange } from '../jobs/codecs/carried.js';
import type { PictureCodec } from '../jobs/codecs/picture-codec.js';
import type { Colour, HdrStaticMetadata, ScanName } from '../jobs/manifest/colour.js';
import type { ClipFacts, VideoFacts } from '../jobs/manifest/facts.js';
import type { SoundChoice } from '../jobs/manifest/manifest.js';
import type { Capabilities } from '../jobs/plan/capabilities.js';
import { laidTracks } from '../jobs/plan/laid-sound.js';
import type { OutputRecipe } from '../jobs/plan/plan.js';
import type { MakeRecipe } from '../jobs/targets/target.js';
import { formatRational, parseRational, rational } from '../signal/rational.js';
import { isCameraLog } from '../signal/transfer/transfer-functions.js';
import { alphaDepths } from './alpha.js';
import { planCarry, refusalToCarry } from './carry.js';
import { type ClipLook, placeLook } from './clip-look.js';
import { chooseEncoder } from './encoder-choice.js';
import { encoderLimit } from './encoder-limits.js';
import { outputRate } from './frame-rate.js';
import { planRaster } from './geometry.js';
import { LINEAR_LIGHT, sequenceLimit } from './sequence-limit.js';
import { type SettledMake, settleVideo } from './settle-video.js';
import type { Laying } from './sound/lay-sound.js';
import { planSound } from './sound/sound-tracks.js';

export interface ClipWish {
  /** What it is called in the batch. */
  readonly name: string;
  /** Its path below the root, and those of its further parts. */
  readonly file: string;
  readonly parts: readonly string[];
  readonly facts: ClipFacts;
  readonly video: VideoFacts;
  readonly colour: Colour;
  readonly look: ClipLook | null;
  readonly exposure: number;
  /** Scan of the source. */
  readonly scan: ScanName;
  /** Sound tracks chosen in the manifest. */
  readonly sound: SoundChoice | undefined;
  /** Sound recorded apart in place of its own, or why it cannot be laid. */
  readonly laying: Laying;
  readonly reel: string | null;
  readonly startTimecode: string | null;
}

export type RecipeResult =
  | { readonly ok: true; readonly recipe: OutputRecipe }
  | { readonly ok: false; readonly reason: string; readonly next: string };

const NO_HDR: HdrStaticMetadata = { mastering: null, lightLevel: null };

/** Colour of the output: that of the target, or that of the clip in the form the codec can carry. */
function outputColour(make: SettledMake, source: Colour, codec: PictureCodec): Colour {
  if (make.container === 'exr') {
    return { ...(make.colour === 'source' ? source : make.colour), ...LINEAR_LIGHT };
  }
  const base: Colour = make.colour === 'source' ? source : make.colour;
  if (make.video.rgb) {
    // A camera's formula is of codes, whatever the range: scaled they would stand for other light.
    if (make.colour === 'source' && isCameraLog(source.transfer)) {
      return { ...base, matrix: 'gbr', range: source.range };
    }
    const keepsNarrow = make.colour === 'source' && source.matrix === 'gbr';
    const range = keepsNarrow && isCarried('range', codec, make.container) ? source.range : 'full';
    return { ...base, matrix: 'gbr', range };
  }
  const matrix = base.matrix === 'gbr' ? (base.primaries === 'bt2020' ? 'bt2020nc' : 'bt709') : base.matrix;
  return { ...base, matrix, range: keepsFullRange(codec, make.container) ? base.range : 'narrow' };
}

function sameLight(a: Colour, b: Colour): boolean {
  return a.transfer === b.transfer && a.primaries === b.primaries;
}

/**
 * Static metadata describes one picture: it is kept only where the output shows the same light (same transfer
 * and primaries, no exposure change, no look), and never made up.
 */
function outputHdr(
  source: VideoFacts,
  recipe: { rendering: OutputRecipe['rendering']; colour: Colour },
  keeps: boolean,
): HdrStaticMetadata {
  const isMeant = keeps || recipe.colour.transfer === 'smpte2084';
  return recipe.rendering === null && isMeant ? source.hdr : NO_HDR;
}

function outputScan(
  make: SettledMake,
  sourceScan: ScanName,
  codec: PictureCodec,
): Pick<OutputRecipe, 'sourceScan' | 'scan' | 'deinterlace'> {
  const scaled = make.raster !== 'source';
  // Scaling an interlaced picture line by line mixes its fields, so it is deinterlaced first; so is one whose
  // field order the output cannot declare.
  const declaresFields =
    codec.fields.some((order) => order === sourceScan) && isCarried('field-order', codec, make.container);
  const deinterlace =
    sourceScan !== 'progressive' && (make.scan === 'progressive' || scaled || !declaresFields);
  return { sourceScan, scan: deinterlace ? 'progressive' : sourceScan, deinterlace };
}

function rotationOf(video: VideoFacts): 0 | 90 | 180 | 270 | null {
  const turned = ((Math.round(video.rotation) % 360) + 360) % 360;
  return turned === 0 || turned === 90 || turned === 180 || turned === 270 ? turned : null;
}

/** What is burnt in for this clip; null where nothing is. */
function burntIn(
  wanted: MakeRecipe['burnIn'],
  clip: { readonly timecode: string | null; readonly clipName: string; readonly reel: string | null },
): OutputRecipe['burnIn'] {
  if (wanted === undefined) return null;
  const drawn = {
    timecode: wanted.timecode ? (clip.timecode ?? '00:00:00:00') : null,
    clipName: wanted.clipName ? clip.clipName : null,
    reel: wanted.reel ? clip.reel : null,
    text: wanted.text ?? null,
  };
  return Object.values(drawn).every((each) => each === null) ? null : drawn;
}

/** Makes every choice of a recipe for one clip, or returns why it cannot be made here. Pure. */
export function planRecipe(clip: ClipWish, wish: MakeRecipe, capabilities: Capabilities): RecipeResult {
  const make = settleVideo(wish, clip.video);
  const choice = chooseEncoder(make, capabilities, alphaDepths(clip, wish, make));
  if (!choice.ok) return choice;
  const { video, facts } = clip;

  const rotation = rotationOf(video);
  if (rotation === null) {
    return {
      ok: false,
      reason: `the picture is tagged as turned by ${video.rotation} degrees`,
      next: 'rotate it by a multiple of 90 degrees first',
    };
  }
  if (video.mirrored) {
    return {
      ok: false,
      reason: 'the picture is tagged as mirrored',
      next: 'mirror it first, and write it without the tag',
    };
  }
  const { laying } = clip;
  if (make.audio && !laying.ok) return laying;
  const laid = laying.ok ? laying.laid : null;
  const misread =
    make.audio && laid === null ? facts.audio.find((stream) => stream.misread !== undefined) : undefined;
  if (misread !== undefined) {
    return {
      ok: false,
      reason: `its sound (stream ${misread.stream}) would be decoded as noise: ${misread.misread}`,
      next: 'use an ffmpeg that can, or wrap the sound again first',
    };
  }
  const rate = outputRate(video, make.frameRate);
  if (rate === null) {
    return {
      ok: false,
      reason:
        video.frameRate === null
          ? 'the clip declares no frame rate'
          : `the clip declares no usable frame rate (${video.frameRate})`,
      next:
        facts.sequence === undefined
          ? 'set frameRate in the target'
          : 'set frameRate of the clip in the manifest: frameRate: 24/1',
    };
  }
  const limit = sequenceLimit(clip, make);
  if (limit !== null) return { ok: false, ...limit };
  const colour = outputColour(make, clip.colour, choice.codec);
  if (isCameraLog(colour.transfer) && !sameLight(colour, clip.colour)) {
    return {
      ok: false,
      reason: `a rendering from ${clip.colour.transfer} to ${colour.transfer} is not supported: the target would be a camera log`,
      next: 'use a display colour (bt709, smpte2084, arib-std-b67) or `source`',
    };
  }
  const tracks = laid === null ? facts.audio : laidTracks(laid).map((track) => track.facts);
  const sound = planSound(tracks, make.audio, clip.sound);
  if (!sound.ok) return sound;
  const look = make.look ? clip.look : null;
  const rendered =
    (make.colour !== 'source' || colour.transfer !== clip.colour.transfer) &&
    (!sameLight(colour, clip.colour) || clip.exposure !== 0 || look !== null);
  const placed = rendered && look !== null ? placeLook(look, clip.colour, colour) : null;
  if (placed !== null && !placed.ok) return placed;
  const rendering: OutputRecipe['rendering'] = rendered
    ? { from: clip.colour, to: colour, exposure: clip.exposure, look: placed?.look ?? null }
    : null;

  const turned = rotation === 90 || rotation === 270;
  const aspect = parseRational(video.sampleAspect ?? '1/1') ?? rational(1);
  const { raster, sampleAspect } = planRaster(
    {
      width: turned ? video.height : video.width,
      height: turned ? video.width : video.height,
      sampleAspect: turned ? rational(aspect.den, aspect.num) : aspect,
    },
    make.raster,
    make.video.chroma,
    choice.codec.oddSizes,
  );
  const startTimecode = clip.startTimecode ?? facts.container.startTimecode;
  const stem = clip.file.split('/').at(-1) ?? clip.file;
  const reel = clip.reel ?? facts.container.reel;
  const recipe: OutputRecipe = {
    container: make.container,
    video: {
      encoder: choice.codec.encoder,
      profile: choice.profile,
      pixelFormat: choice.pixelFormat,
      bitDepth: choice.bitDepth,
      chroma: make.video.chroma,
      alpha: choice.alpha,
      crf: make.video.crf ?? null,
      lossless: make.video.lossless,
      maxBitRate: make.video.maxBitRate ?? null,
    },
    raster,
    sampleAspect,
    rotation,
    ...outputScan(make, clip.scan, choice.codec),
    frameRate: formatRational(rate),
    sourceColour: clip.colour,
    colour,
    rendering,
    hdr: outputHdr(video, { rendering, colour }, make.carry !== 'none'),
    burnIn: burntIn(make.burnIn, { timecode: startTimecode, clipName: stem, reel }),
    timecode: startTimecode,
    reel,
    carry: planCarry(facts, make),
    audio: sound.audio === null || laid === null ? sound.audio : { ...sound.audio, laid: [...laid] },
  };
  const refusal = encoderLimit(recipe, capabilities) ?? refusalToCarry(facts, make, recipe);
  return refusal === null ? { ok: true, recipe } : { ok: false, ...refusal };
}
