import type { Measurement } from '../../../jobs/measurement/measurement.js';
import { count, grouped, signed } from '../../../jobs/words/numbers.js';
import { firstPlace, placesText } from '../../../jobs/words/places.js';
import { code, levelPercent, nits, percent } from '../../../jobs/words/quantities.js';
import { type Row, sureness } from './row.js';

type Video = NonNullable<Measurement['video']>;

/** What is declared of the picture beside what it shows. */
export function pictureRows(measured: Measurement): Row[] {
  const { video, effective, fields } = measured;
  if (video === null) return [];
  const { colour } = video;
  const rows: Row[] = [
    ['Raster', `${video.width} x ${video.height}, ${aspectText(video)}${rasterInUse(video, effective)}`],
    ['Bit depth', `${video.bitDepth.declared} declared, ${inUse(video.bitDepth)}`],
    ['Chroma', `${video.chroma.declared ?? 'not'} declared, ${inUse(video.chroma)}`],
    ['Frame rate', `${video.frameRate ?? 'unknown'}, ${rateText(video.constantRate)}`],
    ['Frames', `${grouped(video.frames)} decoded, ${declaredFrames(video.framesDeclared)}`],
    [
      'Colour tags',
      `transfer ${colour.transfer ?? 'not declared'}, primaries ${colour.primaries ?? 'not declared'}, matrix ${colour.matrix ?? 'not declared'}, range ${colour.range ?? 'not declared'}`,
    ],
  ];
  if (video.rotation !== 0) rows.push(['Rotation', `${video.rotation}° clockwise`]);
  if (video.mirrored) rows.push(['Mirrored', 'to be shown with left as right, before any rotation']);
  const scan = `${video.scan ?? 'not'} declared`;
  if (fields === null) return [...rows, ['Scan', scan]];
  const { cadence, combed } = fields;
  const moves = fields.scan === null ? 'too little motion to tell' : `${fields.scan} as it moves`;
  rows.push(['Scan', `${scan}, ${moves}${fields.scan === null ? '' : sureness(fields.confidence)}`]);
  if (combed.frames > 0) {
    const worst =
      combed.worstFrame === null ? '' : `, worst frame ${combed.worstFrame} (${percent(combed.worstArea)})`;
    rows.push(['Combed', `${placesText(combed)}${worst}`]);
  }
  if (cadence.name === null) rows.push(['Cadence', 'too little motion to tell']);
  else {
    const words = cadence.name === 'none' ? 'no pulldown, no frames in step' : cadence.name;
    const breaks =
      cadence.breaks.places === 0
        ? ''
        : `, ${count(cadence.breaks.places, 'break')}${firstPlace(cadence.breaks.ranges)}`;
    rows.push(['Cadence', `${words}${sureness(cadence.confidence)}${breaks}`]);
  }
  return rows;
}

function aspectText({ sampleAspect }: Video): string {
  if (sampleAspect === null) return 'sample aspect not declared';
  return sampleAspect === '1/1' ? 'square pixels' : `sample aspect ${sampleAspect}`;
}

function rateText(constant: boolean | null): string {
  if (constant === null) return 'whether it is constant is not known';
  return constant ? 'constant' : 'not constant';
}

function declaredFrames(declared: number | null): string {
  return declared === null ? 'none declared' : `${grouped(declared)} declared`;
}

function inUse({
  effective,
  confidence,
}: {
  effective: number | string | null;
  confidence: 'high' | 'low';
}): string {
  return effective === null ? 'use cannot be told' : `${effective} in use${sureness(confidence)}`;
}

function rasterInUse({ width, height }: Video, effective: Measurement['effective']): string {
  if (effective === null) return '';
  const { raster } = effective;
  if (raster.width === null && raster.height === null) return '; detail too little to tell its use';
  if (raster.width === width && raster.height === height)
    return `; all of it in use${sureness(raster.confidence)}`;
  return `; detail as of ${raster.width ?? 'unknown'} x ${raster.height ?? 'unknown'}${sureness(raster.confidence)}`;
}

export function levelRows({ levels }: Measurement): Row[] {
  if (levels === null) return [];
  const { luma, rgb, percentiles, gamutError, reservedCodes, looksFullRange } = levels;
  const span = (extremes: NonNullable<typeof luma>): string =>
    `code ${code(extremes.min)} to ${code(extremes.max)}, ${levelPercent(extremes.percentMin)} to ${levelPercent(extremes.percentMax)} %`;
  const rows: Row[] = [];
  if (luma !== null) rows.push(["Y'", span(luma)]);
  if (rgb !== null) rows.push(["R'G'B'", span(rgb)]);
  const { p01, p1, p50, p99, p999 } = percentiles;
  rows.push(
    [
      'Percentiles',
      `${luma === null ? "G'" : "Y'"} code ${code(p01)} (0.1 %), ${code(p1)} (1 %), ${code(p50)} (median), ${code(p99)} (99 %), ${code(p999)} (99.9 %)`,
    ],
    [
      'EBU R 103',
      gamutError.worstFrame === null
        ? 'nothing outside the tolerance'
        : `outside: at most ${percent(gamutError.worstArea)} of the picture, frame ${gamutError.worstFrame}; ${count(gamutError.framesOver, 'frame')} over 1 %${firstPlace(gamutError.ranges)}`,
    ],
    [
      'SDI reserved codes',
      reservedCodes.samples === 0
        ? 'none'
        : `${count(reservedCodes.samples, 'sample')}${reservedCodes.firstFrame === null ? '' : `, first in frame ${reservedCodes.firstFrame}`}`,
    ],
    [
      'Looks like',
      looksFullRange === null
        ? 'too little tone to tell the range'
        : `${looksFullRange ? 'full' : 'narrow'} range`,
    ],
  );
  return rows;
}

export function lightRows({ luminance }: Measurement): Row[] {
  if (luminance === null) return [];
  const { declared, outsideP3, activeMaxFall, overMastering, displayPeak } = luminance;
  const against = (value: number | null): string =>
    value === null ? 'not declared' : `${nits(value)} declared`;
  const rows: Row[] = [
    ['MaxCLL', `${nits(luminance.maxCll)} (frame ${luminance.maxCllFrame}), ${against(declared.maxCll)}`],
    ['MaxFALL', `${nits(luminance.maxFall)} (frame ${luminance.maxFallFrame}), ${against(declared.maxFall)}`],
  ];
  if (activeMaxFall !== null && activeMaxFall.nits !== luminance.maxFall)
    rows.push(['Without bars', `MaxFALL ${nits(activeMaxFall.nits)} (frame ${activeMaxFall.frame})`]);
  rows.push(['99.99 percentile', nits(luminance.p9999)]);
  if (displayPeak !== null)
    rows.push(['Shown on', `a ${nits(displayPeak)} reference display: HLG is relative`]);
  if (declared.masteringMax !== null)
    rows.push([
      'Mastering display',
      `${declared.masteringMin ?? 'unknown'} to ${nits(declared.masteringMax)} declared`,
    ]);
  if (overMastering !== null)
    rows.push([
      'Above its peak',
      overMastering.frames === 0
        ? 'no frame'
        : `${count(overMastering.frames, 'frame')}${firstPlace(overMastering.ranges)}`,
    ]);
  if (outsideP3 !== null)
    rows.push([
      'Outside P3-D65',
      outsideP3.worstFrame === null
        ? 'nothing'
        : `at most ${percent(outsideP3.worstArea)} of the picture, frame ${outsideP3.worstFrame}`,
    ]);
  return rows;
}

export function exposureRows({ exposure }: Measurement): Row[] {
  if (exposure === null) return [];
  const { p1, p10, p90, p99 } = exposure.percentileStops;
  return [
    ['Median', `${signed(exposure.medianStops, 1)} stops from 18 % grey`],
    [
      'Percentiles',
      `${signed(p1, 1)} (1 %), ${signed(p10, 1)} (10 %), ${signed(p90, 1)} (90 %), ${signed(p99, 1)} stops (99 %)`,
    ],
    [
      'Ends of the curve',
      `${percent(exposure.clippedArea)} clipped, ${percent(exposure.noiseFloorArea)} in the noise`,
    ],
    ['Advice, no verdict', exposure.advice],
  ];
}
