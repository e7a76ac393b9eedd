import type { Measurement } from '../../../../jobs/measurement/measurement.js';
import { parseRational } from '../../../../signal/rational.js';
import { isCameraLog } from '../../../../signal/transfer/transfer-functions.js';
import type { FrameClock } from '../../figures/frame-ranges.js';
import type { Gathered } from '../../figures/gathered.js';
import { effectiveChroma } from '../effective/chroma-figures.js';
import { effectiveDepth } from '../effective/effective-depth.js';
import { effectiveRaster } from '../effective/raster-figures.js';
import { linesInPairs } from '../effective/repeated-samples.js';
import { repeatsAt } from '../effective/spectrum-study.js';
import { type PicturePlan, picturePlan } from '../plan/picture-plan.js';
import type { PictureTotals } from '../recording/picture-totals.js';
import {
  NO_SECTIONS,
  SPECTRUM,
  STUDY_NAMES,
  type StudySections,
  studyFigures,
} from '../recording/studies.js';
import { activeShare } from '../temporal/temporal-figures.js';
import { pictureCurves } from './curve-figures.js';
import { histogramFigures } from './histogram-figures.js';
import { levelFigures } from './level-figures.js';
import { exposureFigures, luminanceFigures } from './light-figures.js';

export interface PictureFigures {
  readonly levels: Measurement['levels'];
  readonly luminance: Measurement['luminance'];
  readonly exposure: Measurement['exposure'];
  readonly histograms: Measurement['histograms'];
  readonly curves: Measurement['curves']['picture'];
  /** Results of the frame studies. */
  readonly studied: StudySections;
  readonly effective: Measurement['effective'];
  readonly chroma: NonNullable<Measurement['video']>['chroma'];
  readonly bitDepth: NonNullable<Measurement['video']>['bitDepth'];
  readonly events: Measurement['events'];
  readonly unmeasured: Measurement['unmeasured'];
  /** Bytes of an incomplete last frame. */
  readonly leftover: number;
}

/** All picture figures of a clip, and what could not be measured, with reasons. */
export function pictureFigures(gathered: Gathered, clock: FrameClock): PictureFigures {
  const { facts, frameLog, pictureAnswer: answer } = gathered;
  const { video } = facts;
  const declared = video?.bitDepth ?? 0;
  const nothing: PictureFigures = {
    levels: null,
    luminance: null,
    exposure: null,
    histograms: null,
    curves: null,
    studied: NO_SECTIONS,
    effective: null,
    chroma: { declared: video?.chroma ?? null, effective: null, confidence: 'low' },
    bitDepth: { declared, effective: null, confidence: 'low' },
    events: [],
    unmeasured: [],
    leftover: 0,
  };
  if (!video) return nothing;
  const events = formatEvents(gathered, clock);
  const plan = picturePlan(video, gathered.colour, frameLog.first ?? video);
  if ('unknown' in plan) return { ...nothing, events, unmeasured: noPicture(plan.unknown) };
  if (answer?.kind !== 'done') {
    const why = answer?.why ?? 'the picture was not read';
    return {
      ...nothing,
      events,
      unmeasured: noPicture(why),
      leftover: answer?.kind === 'failed' ? answer.read.leftover : 0,
    };
  }

  const { totals, read } = answer;
  const hdr = {
    mastering: video.hdr.mastering ?? frameLog.hdr.mastering,
    lightLevel: video.hdr.lightLevel ?? frameLog.hdr.lightLevel,
  };
  const bitDepth = effectiveDepth(depthPlanes(plan, totals), plan.layout.depth, video.codec);
  const unmeasured = [...doubts(gathered, totals, read), ...unknowns(plan, bitDepth.effective)];
  const rate = video.frameRate === null ? null : parseRational(video.frameRate);
  const spectrum = totals.frames === 0 ? undefined : totals.sums[SPECTRUM];
  const paired = spectrum === undefined ? 'no' : linesInPairs(repeatsAt(spectrum, 'down'));
  const { sections, ...studied } = studyFigures(totals, {
    ...{ plan, rate, clock },
    codec: video.codec,
    linesInPairs: paired,
  });
  const { temporal } = sections;
  const share = temporal && activeShare(temporal.activePicture, totals.frames, plan.geometry);
  return {
    levels: levelFigures(plan, totals, clock),
    luminance: luminanceFigures(plan, totals, hdr, { clock, activeShare: share }),
    exposure: exposureFigures(plan, totals),
    histograms: histogramFigures(totals),
    curves: pictureCurves(plan, totals),
    studied: sections,
    effective: spectrum ? { raster: effectiveRaster(spectrum, plan, video.codec) } : null,
    chroma: spectrum ? effectiveChroma(spectrum, plan, video.codec) : nothing.chroma,
    bitDepth: { ...bitDepth, declared },
    events: [...events, ...studied.events],
    unmeasured: [...unmeasured, ...studied.unmeasured],
    leftover: read.leftover,
  };
}

function noPicture(why: string): Measurement['unmeasured'] {
  return [
    'levels',
    'luminance',
    'exposure',
    ...STUDY_NAMES,
    'effective',
    'video.bitDepth.effective',
    'video.chroma.effective',
  ].map((what) => ({ what, why }));
}

function formatEvents({ frameLog }: Gathered, clock: FrameClock): Measurement['events'] {
  return frameLog.changes.map(({ frame, before, after }, index) => ({
    kind: 'format-change',
    ...clock.range(frame, frameLog.changes[index + 1]?.frame ?? frameLog.frames),
    detail: `${formatName(before)} before, ${formatName(after)} from here`,
  }));
}

function formatName(format: { pixelFormat: string; width: number; height: number }): string {
  return `${format.width}x${format.height} ${format.pixelFormat}`;
}

/** Reasons why picture figures are not reliable. */
function doubts(
  { facts, frameLog }: Gathered,
  totals: PictureTotals,
  read: { readonly frames: number; readonly silent: boolean },
): Measurement['unmeasured'] {
  const [change] = frameLog.changes;
  if (change)
    return noPicture(`the format changes at frame ${change.frame}: nothing after that was measured`);
  const first = frameLog.first?.pixelFormat;
  if (totals.frames === 0 && first !== undefined && first !== facts.video?.pixelFormat) {
    return noPicture(`the decoder outputs ${first} although ${facts.video?.pixelFormat} was declared`);
  }
  if (read.silent || totals.frames !== read.frames || read.frames !== frameLog.frames) {
    return noPicture(
      `of ${frameLog.frames} decoded frames ${read.frames} arrived and ${totals.frames} were measured`,
    );
  }
  return totals.frames === 0 ? noPicture('no picture was decoded') : [];
}

/** Figures that need the colour of the picture, where that is not known. */
function unknowns(plan: PicturePlan, effective: number | null): Measurement['unmeasured'] {
  const { meaning } = plan;
  const list: { what: string; why: string }[] = [];
  if (meaning.matrix === null) {
    const why = 'the file does not declare its Y′CbCr matrix';
    list.push({ what: 'levels.rgb', why }, { what: 'levels.gamutError', why });
  }
  if (meaning.transfer === null) {
    list.push({ what: 'luminance', why: 'the file does not declare its transfer function' });
  } else if (plan.light === null) {
    const isHdr = meaning.transfer === 'smpte2084' || meaning.transfer === 'arib-std-b67';
    const isLog = isCameraLog(meaning.transfer);
    const missing = meaning.matrix === null ? 'matrix' : 'primaries';
    if (isHdr) list.push({ what: 'luminance', why: `the file does not declare its ${missing}` });
    if (isLog) list.push({ what: 'exposure', why: `the ${missing} of the picture are unknown` });
  }
  if (plan.light !== null && plan.light.kind !== 'scene' && plan.light.p3 === null) {
    list.push({ what: 'luminance.outsideP3', why: 'the primaries are not BT.2020' });
  }
  if (effective === null) {
    list.push({
      what: 'video.bitDepth.effective',
      why: 'lossy coding or too few tones hide how many bits are in use',
    });
  }
  return list;
}

function depthPlanes(plan: PicturePlan, totals: PictureTotals): Float64Array[] {
  if (plan.layout.model !== 'rgb') return totals.luma ? [totals.luma] : [];
  if (!totals.rgb) return [];
  const { red, green, blue, firstCode } = totals.rgb;
  return [red, green, blue].map((plane) =>
    plane.slice(Math.max(-firstCode, 0), Math.max(-firstCode, 0) + plan.scale.topCode + 1),
  );
}
