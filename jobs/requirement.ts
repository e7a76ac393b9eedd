import { z } from 'zod';
import {
  chromaName,
  matrixName,
  primariesName,
  rangeName,
  rationalText,
  scanName,
  transferName,
} from './colour.js';
import { cadenceName } from './measured-fields.js';
import { PHASE_LEVELS, QUIET_DBFS, SHORTEST_QUIET_SECONDS } from './measured-sound.js';
import { pictureArea } from './measured-temporal.js';
import { region } from './region.js';

/**
 * The requirements a target can make, each by its trade name. The key in a target's `require` is the name a
 * finding carries. Fractions of the picture are written as fractions (0.01 is 1 %).
 */
const severity = z.enum(['fail', 'warn']).default('fail');
/** The document and clause the limit comes from, or "common practice, no source". */
const source = z.string().optional();
function requirement<T extends z.ZodRawShape>(shape: T) {
  return z.strictObject({ ...shape, severity, source });
}
/** Parts of the programme the requirement holds in; the whole of it where none is given. */
const regions = z.array(region).min(1).optional();
/** Places that lie at most this many frames apart are told as one. Where left out only those that touch are. */
const joinGaps = z.number().int().nonnegative().optional();
/**
 * A requirement whose measurement says where it is missed, so that it can hold for parts of the programme. Its entry in
 * workers/judge/requirements.ts says how those are judged.
 */
function placedRequirement<T extends z.ZodRawShape>(shape: T) {
  return z.strictObject({ ...shape, severity, source, regions, joinGaps });
}
/**
 * Whether the picture must prove what is asked of it. Without, it is enough that nothing speaks against it: lossy coding
 * hides how many bits are used, a dark programme which range it has.
 */
const proof = z.boolean().default(true);
const bitDepth = z.number().int().min(8).max(16);
/** Whose silence counts: of all channels of a stream together, or of each by itself (low-frequency effects left out). */
const silenceOf = z.enum(['programme', 'channel']).default('programme');
/** LU beyond a limit that are let pass. */
const overLoud = z.number().nonnegative().default(0);
const oneOrMore = <T extends z.ZodType>(item: T) => z.array(item).min(1);

export const requirementSet = z.strictObject({
  /** Decoder messages and early ends: how many errors are allowed (none, in any sane target). */
  decode: requirement({ maxErrors: z.number().int().nonnegative().default(0) }).optional(),
  container: requirement({ is: oneOrMore(z.enum(['mov', 'mp4', 'mkv', 'mxf', 'wav'])) }).optional(),
  'video-codec': requirement({
    is: oneOrMore(z.string()),
    profiles: z.array(z.string()).optional(),
  }).optional(),
  raster: requirement({ width: z.number().int().positive(), height: z.number().int().positive() }).optional(),
  'sample-aspect': requirement({ is: rationalText.default('1/1') }).optional(),
  'frame-rate': requirement({ is: oneOrMore(rationalText) }).optional(),
  'constant-rate': requirement({}).optional(),
  scan: requirement({ is: oneOrMore(scanName) }).optional(),
  /** The moving picture is of this scan, whatever the file states. */
  'field-order': placedRequirement({
    /** Where left out: the scan the file states. */
    is: oneOrMore(scanName).optional(),
    /** Progressive pictures carried as the two fields of interlaced frames (PsF) are let pass. */
    segmented: z.boolean().default(true),
    /** Combed frames that are let pass in progressive material. */
    maxCombedFrames: z.number().int().nonnegative().default(0),
    proof,
  }).optional(),
  /** How pictures of another rate were put into this one. */
  cadence: placedRequirement({
    is: oneOrMore(cadenceName).default(['none']),
    maxBreaks: z.number().int().nonnegative().default(0),
    proof,
  }).optional(),
  /**
   * Frames decoded, packets of the picture and what the container counts are the same, less what an edit list hides: exact (EBU QC
   * 0081X).
   */
  'frame-count': requirement({}).optional(),
  'bit-depth': requirement({
    /** The depth, or the depths, the file may declare. */
    declared: z.union([bitDepth, oneOrMore(bitDepth)]),
    /** Least depth the samples must really use; `unmeasured` where it cannot be known and proof is asked for. */
    effective: bitDepth.optional(),
    proof,
  }).optional(),
  chroma: requirement({ declared: oneOrMore(chromaName) }).optional(),
  /** Least chroma the picture must really use, whatever the file declares. */
  'effective-chroma': requirement({ least: z.enum(['4:2:0', '4:2:2', '4:4:4']), proof }).optional(),
  /** Least share of the raster, each way, that the picture must have had before it was scaled up. */
  'effective-raster': requirement({ least: z.number().gt(0).max(1).default(0.95), proof }).optional(),
  colour: requirement({
    primaries: primariesName,
    transfer: oneOrMore(transferName),
    matrix: matrixName,
    range: rangeName,
  }).optional(),
  /** Container and bitstream must say the same of colour. */
  'colour-layers': requirement({ proof }).optional(),
  /** EBU R 103: area of the filtered picture outside the tolerance, worst frame. */
  'signal-range': placedRequirement({ maxArea: z.number().min(0).max(1).default(0.01) }).optional(),
  /** Codes SDI keeps for itself (10 bit: 0-3, 1020-1023). */
  'reserved-codes': placedRequirement({}).optional(),
  /** The picture agrees with its range flag. */
  'range-flag': requirement({ proof }).optional(),
  'peak-luminance': placedRequirement({
    max: z.number().positive(),
    /** Fraction of `max` that is let pass. */
    tolerance: z.number().min(0).max(1).optional(),
  }).optional(),
  /** MaxCLL and MaxFALL are declared, and true within the tolerance (fraction of the measured value or 1 cd/m2, whichever is larger). */
  'light-level': requirement({ tolerance: z.number().min(0).max(1).default(0.01) }).optional(),
  'mastering-display': requirement({
    primaries: oneOrMore(z.enum(['bt709', 'smpte432', 'bt2020'])),
    maxLuminance: z.number().positive().optional(),
  }).optional(),
  'outside-p3': placedRequirement({ maxArea: z.number().min(0).max(1) }).optional(),
  /** Runs of black frames. */
  'black-frames': placedRequirement({
    maxFrames: z.number().int().nonnegative().default(0),
    /** Black at head and tail, of any length, is let pass. */
    allowAtEnds: z.boolean().default(true),
  }).optional(),
  /** Stills of this long and longer. */
  'freeze-frames': placedRequirement({ seconds: z.number().positive().default(2) }).optional(),
  /** Frames repeated or lost where the picture moves. */
  'duplicate-frames': placedRequirement({
    maxFrames: z.number().int().nonnegative().default(0),
    /** Repeats in step, as a change of rate makes them, are let pass. */
    regular: z.boolean().default(false),
  }).optional(),
  /** Shots of fewer frames: flash frames. */
  'short-shots': placedRequirement({ minFrames: z.number().int().positive().default(3) }).optional(),
  /** Frames of one colour other than black. */
  'constant-colour': placedRequirement({
    maxFrames: z.number().int().nonnegative().default(0),
    /** Span of the levels of one colour, fraction of the range. */
    tolerance: z.number().min(0).max(1).default(0.03),
  }).optional(),
  /** Where the picture is inside its bars; to the edges of the raster where neither shape nor area is given. */
  'active-picture': requirement({
    /** Shape of the picture as shown, centred: 2.39. */
    aspect: z.number().positive().optional(),
    area: pictureArea.optional(),
    /** Lines (or columns) an edge may be off. */
    tolerance: z.number().nonnegative().default(2),
    /** In every shot, not only in most. */
    constant: z.boolean().default(true),
  }).optional(),
  /** Black lines at an edge of the picture that are no bar. */
  'blank-edges': placedRequirement({ maxLines: z.number().int().nonnegative().default(0) }).optional(),
  /**
   * ITU-R BT.1702: no more than three flashes a second, of light or of saturated red, over more than a quarter of the screen. A
   * screening and not a certified test: the approved test of the broadcaster and the local rules decide.
   */
  flashes: requirement({}).optional(),
  audio: requirement({
    sampleRate: z.number().int().positive().optional(),
    minChannels: z.number().int().nonnegative().optional(),
    maxChannels: z.number().int().positive().optional(),
    bitDepth: z.number().int().positive().optional(),
    /** Bits the samples must really use: 16-bit sound in 24 bits has 16. */
    effectiveBitDepth: z.number().int().positive().max(32).optional(),
    codecs: z.array(z.string()).optional(),
    /** Channels of each stream. */
    channelsPerStream: oneOrMore(z.number().int().positive()).optional(),
    /** Layouts as ffmpeg names them (`mono`, `stereo`, `5.1(side)`), which each stream must state. */
    layouts: oneOrMore(z.string()).optional(),
  }).optional(),
  loudness: requirement({
    target: z.number().min(-70).max(0),
    tolerance: z.number().nonnegative(),
  }).optional(),
  /**
   * The loudness that coded sound states of itself (dialnorm of AC-3 and E-AC-3, ATSC A/52) is its programme loudness. Sound that
   * states none is `unmeasured`: there is nothing that could agree. Dialogue is not told apart from the rest.
   */
  'coded-loudness': requirement({
    /** LU between the two. */
    tolerance: z.number().nonnegative().default(1),
  }).optional(),
  'true-peak': requirement({
    max: z.number().max(20),
    /** dB over `max` that are let pass. */
    tolerance: z.number().nonnegative().optional(),
  }).optional(),
  /** EBU Tech 3342, LU. */
  'loudness-range': requirement({
    min: z.number().nonnegative().optional(),
    max: z.number().positive(),
    tolerance: overLoud,
  }).optional(),
  /** Largest loudness of any 400 ms, LUFS. */
  'max-momentary': requirement({ max: z.number().min(-70).max(20), tolerance: overLoud }).optional(),
  /** Largest loudness of any 3 s, LUFS. */
  'max-short-term': requirement({ max: z.number().min(-70).max(20), tolerance: overLoud }).optional(),
  /** Every sample at or below the level for longer than this. */
  silence: placedRequirement({
    below: z.literal(QUIET_DBFS).default(-60),
    maxSeconds: z.number().min(SHORTEST_QUIET_SECONDS).default(2),
    of: silenceOf,
  }).optional(),
  /** Every sample zero for longer than this. */
  'digital-silence': placedRequirement({
    maxSeconds: z.number().min(SHORTEST_QUIET_SECONDS).default(1),
    of: silenceOf,
  }).optional(),
  /** Runs of three and more full-scale samples, over all channels. */
  clipping: placedRequirement({ maxRuns: z.number().int().nonnegative().default(0) }).optional(),
  /** Correlation of left and right below the level for longer than this. */
  'channel-phase': placedRequirement({
    below: z.literal(PHASE_LEVELS).default(-0.5),
    /** A window is 400 ms. */
    maxSeconds: z.number().min(0.4).default(2),
    /** Without: passes too where nobody knows which channels are a left and a right one. */
    proof,
  }).optional(),
  /** What left and right lose when they are added to mono, dB: unrelated sound loses 3. */
  'mono-fold-down': requirement({ maxLoss: z.number().positive() }).optional(),
  /** No two channels of a stream hold the same sound. */
  'identical-channels': requirement({
    /** Left and right count as the same where their difference lies so many dB under their sum; left out: to the last bit. */
    sideBelow: z.number().negative().optional(),
  }).optional(),
  /** Mean of all samples as a fraction of full scale, either sign. */
  'dc-offset': requirement({ max: z.number().positive().max(1).default(0.001) }).optional(),
  /** A second and more of 1 kHz within the first two minutes, in every channel but low-frequency effects. */
  'line-up-tone': requirement({
    /** dBFS of its amplitude. */
    level: z.number().max(0).default(-18),
    tolerance: z.number().nonnegative().default(0.5),
  }).optional(),
  'picture-sound-length': requirement({
    /** Largest difference in frames of picture. */
    maxFrames: z.number().nonnegative().default(1),
  }).optional(),
  /** There, a label of its rate, drop frame only where ST 12-1 has it; a timecode track counts at the picture's rate. */
  timecode: requirement({
    start: z.string().optional(),
    /** The track's labels run on without a jump over the whole picture. */
    continuous: z.boolean().optional(),
  }).optional(),
  /** The name promises the container the file is, by its brand too. */
  'file-type': requirement({}).optional(),
  /** MOV and MP4: the index before the samples, so that playing begins while the file still loads. */
  'fast-start': requirement({}).optional(),
  /** MOV and MP4: written in one piece, nothing after the last box. */
  'container-structure': requirement({
    fragments: z.boolean().default(false),
    maxTrailingBytes: z.number().int().nonnegative().default(0),
  }).optional(),
  /** Profile and level, both stated, and the same in container and bitstream. Levels as the codec writes them: `4.1`. */
  'codec-level': requirement({ profiles: oneOrMore(z.string()), levels: oneOrMore(z.string()) }).optional(),
  'chroma-siting': requirement({
    is: oneOrMore(z.enum(['left', 'center', 'topleft', 'top', 'bottomleft', 'bottom'])),
  }).optional(),
  /** What is to be shown of the raster: the clean aperture where MOV or MP4 states one, else the whole of it. */
  'clean-aperture': requirement({ width: z.number().positive(), height: z.number().positive() }).optional(),
  /** Shape of the whole picture as shown: raster times sample aspect. */
  'display-aspect': requirement({
    is: rationalText,
    /** Largest difference as a fraction of `is`. */
    tolerance: z.number().min(0).max(1).default(0),
  }).optional(),
  /**
   * The bitstream states the rate at which the container shows its frames. Where it gives a clock tick and promises no fixed rate,
   * another rate is a warning.
   */
  'rate-layers': requirement({ proof }).optional(),
  /** Container and bitstream must say the same of the raster; the container may count whole macroblocks (EBU QC 0070W). */
  'raster-layers': requirement({ proof }).optional(),
  /** Container and bitstream must say the same of the sample aspect, the scan, the HDR metadata. */
  'aspect-layers': requirement({ proof }).optional(),
  'scan-layers': requirement({
    proof,
    /** Progressive frames may be coded as two fields (PsF); a person should then look. */
    segmented: z.boolean().default(false),
  }).optional(),
  'hdr-layers': requirement({ proof }).optional(),
  /** The picture lasts as long as its track says, or, where the container has no lengths of tracks, as the container says. */
  duration: requirement({
    /** Largest difference in frames; less than one is the rounding of a container's clock. */
    maxFrames: z.number().nonnegative().default(0.5),
  }).optional(),
  /** No gap, repeat or step back in the time stamps of the picture. */
  timestamps: requirement({}).optional(),
  /** Picture and sound begin together once edit lists are obeyed. */
  'edit-list': requirement({
    /** Samples of sound at its own rate; 1024 is one frame of AAC. */
    maxSamples: z.number().nonnegative().default(1024),
    /** One edit a track at most, at the speed of recording, hiding no picture. */
    simple: z.boolean().default(true),
  }).optional(),
  /** Group of pictures. */
  gop: requirement({
    maxLength: z.number().int().positive().optional(),
    constant: z.boolean().default(false),
    closed: z.boolean().default(false),
    intraOnly: z.boolean().default(false),
  }).optional(),
  /** Of the picture alone, bits a second; the peak over any whole second. */
  'bit-rate': requirement({
    minMean: z.number().positive().optional(),
    maxMean: z.number().positive().optional(),
    maxPeak: z.number().positive().optional(),
  }).optional(),
  /** Against the original of the same job: frames, start timecode, raster where the target keeps it. */
  'as-original': requirement({
    frames: z.boolean().default(true),
    timecode: z.boolean().default(true),
    /** `true`: there is sound, as long as the original's. `all`: every stream and channel too. */
    sound: z.union([z.boolean(), z.literal('all')]).default(true),
    /** No fewer bits than the original really uses: for targets that promise to lose nothing. */
    bitDepth: z.boolean().default(false),
  }).optional(),
});
export type RequirementSet = z.infer<typeof requirementSet>;
export type RequirementName = keyof RequirementSet;
export const REQUIREMENT_NAMES = Object.keys(requirementSet.shape) as RequirementName[];

/** Requirements that can be limited to regions. */
export type PlacedName = {
  [N in RequirementName]: 'regions' extends keyof NonNullable<RequirementSet[N]> ? N : never;
}[RequirementName];
export const PLACED_NAMES: readonly RequirementName[] = REQUIREMENT_NAMES.filter(
  (name) => 'regions' in requirementSet.shape[name].unwrap().shape,
);
