import type { ChromaName } from '../../../jobs/manifest/colour.js';

/** How a decoder configuration record describes the samples of a picture. */
export interface SamplesRecord {
  readonly bitDepth: number;
  readonly chroma: ChromaName;
}

/**
 * Depth and chroma sampling as the configuration record of a codec states them: the content of `avcC`,
 * `hvcC`, `av1C` or `vpcC` in MOV and MP4, which Matroska keeps as CodecPrivate (but for VP9). Null for a
 * record that does not speak of them, or is too short.
 *
 * @param codec ffmpeg's name
 */
export function samplesRecord(codec: string, record: Buffer): SamplesRecord | null {
  try {
    return RECORDS[codec]?.(record) ?? null;
  } catch (error) {
    // Buffer refuses to read past its end.
    if (error instanceof RangeError) return null;
    throw error;
  }
}

const RECORDS: Readonly<Record<string, (record: Buffer) => SamplesRecord | null>> = {
  h264: avcSamples,
  hevc: hevcSamples,
  av1: av1Samples,
  vp9: vp9Samples,
};

/** chroma_format_idc of ITU-T H.264 and H.265. */
const CHROMA_FORMATS: readonly ChromaName[] = ['4:0:0', '4:2:0', '4:2:2', '4:4:4'];

/** Profiles without a choice: Baseline, Main and Extended (ITU-T H.264, annex A). */
const PLAIN_PROFILES: ReadonlySet<number> = new Set([66, 77, 88]);

/**
 * ISO/IEC 14496-15, clause 5.3.3: behind the parameter sets, in High and the profiles above it; often left
 * out.
 */
function avcSamples(record: Buffer): SamplesRecord | null {
  if (record.readUInt8(0) !== 1) return null;
  if (PLAIN_PROFILES.has(record.readUInt8(1))) return { bitDepth: 8, chroma: '4:2:0' };
  let at = 5;
  for (const countBits of [0x1f, 0xff]) {
    const sets = record.readUInt8(at++) & countBits;
    for (let i = 0; i < sets; i++) at += 2 + record.readUInt16BE(at);
  }
  return samplesOf(8 + (record.readUInt8(at + 1) & 7), CHROMA_FORMATS[record.readUInt8(at) & 3]);
}

/** ISO/IEC 14496-15, clause 8.3.3.1. */
function hevcSamples(record: Buffer): SamplesRecord | null {
  // 0 was written by encoders before the standard was done.
  if (record.readUInt8(0) > 1) return null;
  return samplesOf(8 + (record.readUInt8(17) & 7), CHROMA_FORMATS[record.readUInt8(16) & 3]);
}

/** AV1 Codec ISO Media File Format Binding, clause 2.3.3. */
function av1Samples(record: Buffer): SamplesRecord | null {
  if (record.readUInt8(0) !== 0x81) return null;
  const flags = record.readUInt8(2);
  const has = (bit: number): boolean => (flags & (1 << bit)) !== 0;
  const bitDepth = has(6) ? (has(5) ? 12 : 10) : 8;
  if (has(4)) return { bitDepth, chroma: '4:0:0' };
  return { bitDepth, chroma: has(3) ? (has(2) ? '4:2:0' : '4:2:2') : '4:4:4' };
}

const VP9_CHROMA: readonly ChromaName[] = ['4:2:0', '4:2:0', '4:2:2', '4:4:4'];

/** VP Codec ISO Media File Format Binding, version 1: behind version, flags, profile and level. */
function vp9Samples(record: Buffer): SamplesRecord | null {
  if (record.readUInt8(0) !== 1) return null;
  const packed = record.readUInt8(6);
  return samplesOf(packed >> 4, VP9_CHROMA[(packed >> 1) & 7]);
}

function samplesOf(bitDepth: number, chroma: ChromaName | undefined): SamplesRecord | null {
  return chroma === undefined ? null : { bitDepth, chroma };
}

/**
 * How the container contradicts the decoded pictures, in words; null where it does not. Pictures that it
 * calls grey may come with empty chroma.
 */
export function samplesContradiction(
  declared: SamplesRecord | null,
  decoded: { readonly bitDepth: number; readonly chroma: ChromaName | null },
): string | null {
  if (declared === null) return null;
  const parts = [
    ...(declared.bitDepth === decoded.bitDepth
      ? []
      : [`the container declares ${declared.bitDepth} bits, the pictures have ${decoded.bitDepth}`]),
    ...(declared.chroma === decoded.chroma || declared.chroma === '4:0:0' || decoded.chroma === null
      ? []
      : [`the container declares ${declared.chroma}, the pictures have ${decoded.chroma}`]),
  ];
  return parts.length === 0 ? null : parts.join('; ');
}
