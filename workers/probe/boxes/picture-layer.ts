import type { ScanName } from '../../../jobs/manifest/colour.js';
import type { Layer } from '../../../jobs/measurement/measured-container.js';
import { formatRational, rational } from '../../../signal/rational.js';
import { avcLevel, avcProfile, hevcLevel, hevcProfile } from '../bitstream/codec-level.js';
import { tagsOfCodePoints } from '../bitstream/colour-code-points.js';
import { samplesRecord } from './codec-record.js';
import { type Leaf, leaf } from './leaf-boxes.js';
import { type Box, boxesBetween } from './walk-boxes.js';

/**
 * Bytes of a picture's sample entry before the boxes in it (ISO/IEC 14496-12, VisualSampleEntry; the same in
 * QuickTime).
 */
const ENTRY_BYTES = 78;

/**
 * `fiel` of QuickTime: number of fields, then their order. 1 and 6: two fields, top or bottom first; 9 and 14
 * likewise for fields interleaved in frames, despite the wording of their definition (common practice, no
 * source).
 */
const FIELD_ORDERS: Readonly<Record<number, ScanName>> = {
  1: 'interlaced-tff',
  6: 'interlaced-bff',
  9: 'interlaced-tff',
  14: 'interlaced-bff',
};

/**
 * What the sample entry of a picture track declares. Sources: ISO/IEC 14496-12, clause 12.1;
 * 14496-15 for avcC and hvcC.
 */
export function pictureLayer(data: Buffer, entry: Box): Layer {
  const boxes =
    entry.end - entry.body < ENTRY_BYTES ? [] : boxesBetween(data, entry.body + ENTRY_BYTES, entry.end);
  const find = (type: string): Box | null => boxes.find((box) => box.type === type) ?? null;
  const pasp = leaf('pasp', data, find('pasp'));
  const fiel = leaf('fiel', data, find('fiel'));
  const avcC = leaf('avcC', data, find('avcC'));
  const hvcC = leaf('hvcC', data, find('hvcC'));
  const clli = leaf('clli', data, find('clli'));
  return {
    colour: colourOf(data, boxes),
    raster: rasterOf(data, entry),
    frameRate: null,
    sampleAspect: pasp && pasp.hSpacing > 0 && pasp.vSpacing > 0 ? aspectOf(pasp) : null,
    scan: fiel === null ? null : scanOf(fiel),
    cleanAperture: apertureOf(leaf('clap', data, find('clap'))),
    mastering: masteringOf(leaf('mdcv', data, find('mdcv'))),
    lightLevel: clli && { maxCll: clli.max_content_light_level, maxFall: clli.max_pic_average_light_level },
    profile: avcC
      ? avcProfile(avcC.AVCProfileIndication, avcC.profile_compatibility)
      : hvcC
        ? hevcProfile(hvcC.general_profile_idc)
        : null,
    level: avcC ? avcLevel(avcC.AVCLevelIndication) : hvcC ? hevcLevel(hvcC.general_level_idc) : null,
    samples: samplesOf(data, boxes),
    chromaSiting: null,
  };
}

/** Boxes that hold the configuration of a decoder, by the codec it is of. */
const RECORDS = { avcC: 'h264', hvcC: 'hevc', av1C: 'av1', vpcC: 'vp9' } as const;

function samplesOf(data: Buffer, boxes: readonly Box[]): Layer['samples'] {
  for (const [type, codec] of Object.entries(RECORDS)) {
    const box = boxes.find((each) => each.type === type);
    if (box !== undefined) return samplesRecord(codec, data.subarray(box.body, box.end));
  }
  return null;
}

/** Width and height, after 24 bytes of the sample entry. */
const RASTER_OFFSET = 24;

function rasterOf(data: Buffer, entry: Box): Layer['raster'] {
  if (entry.end - entry.body < ENTRY_BYTES) return null;
  const at = entry.body + RASTER_OFFSET;
  return { width: data.readUInt16BE(at), height: data.readUInt16BE(at + 2) };
}

function aspectOf({ hSpacing, vSpacing }: Leaf<'pasp'>): string {
  return formatRational(rational(hSpacing, vSpacing));
}

function apertureOf(clap: Leaf<'clap'> | null): Layer['cleanAperture'] {
  if (clap === null) return null;
  const width = clap.cleanApertureWidthN / clap.cleanApertureWidthD;
  const height = clap.cleanApertureHeightN / clap.cleanApertureHeightD;
  const real = Number.isFinite(width) && Number.isFinite(height) && width > 0 && height > 0;
  return real ? { width, height } : null;
}

function scanOf({ fieldCount, fieldOrdering }: Leaf<'fiel'>): ScanName | null {
  if (fieldCount === 1) return 'progressive';
  return fieldCount === 2 ? (FIELD_ORDERS[fieldOrdering] ?? null) : null;
}

/** The first colour box with code points: there may also be one with a colour profile. */
function colourOf(data: Buffer, boxes: readonly Box[]): Layer['colour'] {
  for (const box of boxes.filter(({ type }) => type === 'colr')) {
    const colr = leaf('colr', data, box);
    if (colr === null) continue;
    const tags =
      colr.colour_type === 'nclc' && box.end - box.body >= 10
        ? // The form of QuickTime, which the library does not read: three code points of two bytes, no range.
          tagsOfCodePoints(
            data.readUInt16BE(box.body + 4),
            data.readUInt16BE(box.body + 6),
            data.readUInt16BE(box.body + 8),
            null,
          )
        : colr.colour_type === 'nclx'
          ? tagsOfCodePoints(
              colr.colour_primaries ?? 2,
              colr.transfer_characteristics ?? 2,
              colr.matrix_coefficients ?? 2,
              colr.full_range_flag === 1,
            )
          : null;
    if (tags !== null) return Object.values(tags).every((tag) => tag === null) ? null : tags;
  }
  return null;
}

/**
 * Chromaticities in units of 0.00002, order green, blue, red; luminance in units of 0.0001 cd/m2 (as ITU-T
 * H.265, D.3.28).
 */
function masteringOf(mdcv: Leaf<'mdcv'> | null): Layer['mastering'] {
  if (mdcv === null) return null;
  const xy = ({ x, y }: { x: number; y: number }): [number, number] => [x / 50_000, y / 50_000];
  const [green, blue, red] = mdcv.display_primaries;
  return {
    red: xy(red),
    green: xy(green),
    blue: xy(blue),
    white: xy(mdcv.white_point),
    minLuminance: mdcv.min_display_mastering_luminance / 10_000,
    maxLuminance: mdcv.max_display_mastering_luminance / 10_000,
  };
}
