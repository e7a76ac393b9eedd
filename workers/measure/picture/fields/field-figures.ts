import type { MeasuredFields } from '../../../../jobs/measurement/measured-fields.js';
import { type FrameClock, runsOf } from '../../figures/frame-ranges.js';
import type { StudyColumns } from '../recording/frame-study.js';
import { longest, type Run } from '../temporal/frames-in-runs.js';
import { measuredCadence } from './cadence.js';
import { fieldEvidence, type Vote } from './field-evidence.js';
import type { FieldColumn } from './field-study.js';
import { type ScanSegment, scanSegments } from './scan-segments.js';

/** Scan, combing and cadence of a whole programme, from the columns of its frames. */
export function fieldFigures(columns: StudyColumns<FieldColumn>, clock: FrameClock): MeasuredFields {
  const { votes: seen, steps, combed } = fieldEvidence(columns);
  const cadence = measuredCadence(steps);
  // A field that repeats alone at regular intervals proves fields more reliably than combing.
  const votes = seen.map((vote, frame) => cadence.fieldOrder.get(frame) ?? vote);
  const { scan, confidence, segments } = scanSegments(votes, combed, [...cadence.fieldOrder.keys()]);
  const voted = (...kinds: readonly Vote[]): number => votes.filter((vote) => kinds.includes(vote)).length;
  const places = <R extends Run>(runs: readonly R[]) => ({
    places: runs.length,
    ranges: longest(runs).map((run) => ({ ...run, ...clock.range(run.from, run.to) })),
  });
  return {
    scan,
    confidence,
    framesTold: {
      progressive: voted('progressive', 'maybe-progressive'),
      topFirst: voted('top'),
      bottomFirst: voted('bottom'),
    },
    segments: places(segments),
    combed: combedFigures(columns.fieldCombed, combed, segments, places),
    cadence: {
      name: cadence.name,
      confidence: cadence.confidence,
      segments: places(cadence.segments),
      breaks: places(cadence.breaks.map((frame) => ({ from: frame, to: frame + 1 }))),
    },
  };
}

/** Combing is normal in interlaced material; elsewhere it is a fault. */
function combedFigures(
  areas: Float64Array,
  combed: readonly boolean[],
  segments: readonly ScanSegment[],
  places: (runs: readonly Run[]) => Pick<MeasuredFields['combed'], 'places' | 'ranges'>,
): MeasuredFields['combed'] {
  let frames = 0;
  let worstFrame: number | null = null;
  let worstArea = 0;
  const runs = segments
    .filter(({ scan }) => scan === null || scan === 'progressive')
    .flatMap(({ from, to }) =>
      runsOf(to - from, (frame) => combed[from + frame] === true).map((run) => ({
        from: from + run.from,
        to: from + run.to,
      })),
    );
  for (const { from, to } of runs) {
    frames += to - from;
    for (let frame = from; frame < to; frame++) {
      const area = areas[frame] ?? 0;
      if (!(area > worstArea)) continue;
      worstArea = area;
      worstFrame = frame;
    }
  }
  return { ...places(runs), frames, worstFrame, worstArea };
}
