import type { MeasuredFields } from '../../../../jobs/measured-fields.js';
import { type FrameClock, runsOf } from '../../frame-ranges.js';
import type { StudyColumns } from '../frame-study.js';
import { measuredCadence } from './cadence.js';
import { fieldEvidence } from './field-evidence.js';
import type { FieldColumn } from './field-study.js';
import { scanSegments } from './scan-segments.js';

/** Scan, combing and cadence of a whole programme, from the columns of its frames. */
export function fieldFigures(columns: StudyColumns<FieldColumn>, clock: FrameClock): MeasuredFields {
  const { votes: seen, steps, combed } = fieldEvidence(columns);
  const cadence = measuredCadence(steps);
  // A field that repeats alone, again and again in step, is a field: that tells more than combing does.
  const votes = seen.map((vote, frame) => cadence.fieldOrder.get(frame) ?? vote);
  const { scan, confidence, segments } = scanSegments(votes);
  const voted = (vote: string): number => votes.filter((v) => v === vote).length;
  let worstFrame: number | null = null;
  let worstArea = 0;
  combed.forEach((isCombed, frame) => {
    const area = columns.fieldCombed[frame] ?? 0;
    if (!isCombed || !(area > worstArea)) return;
    worstFrame = frame;
    worstArea = area;
  });
  return {
    scan,
    confidence,
    framesTold: {
      progressive: voted('progressive'),
      topFirst: voted('top'),
      bottomFirst: voted('bottom'),
    },
    segments: segments.map(({ scan: name, from, to }) => ({ scan: name, ...clock.range(from, to) })),
    combed: {
      frames: combed.filter(Boolean).length,
      worstFrame,
      worstArea,
      ranges: runsOf(combed.length, (frame) => combed[frame] === true).map(({ from, to }) =>
        clock.range(from, to),
      ),
    },
    cadence: {
      name: cadence.name,
      confidence: cadence.confidence,
      segments: cadence.segments.map(({ name, from, to }) => ({ name, ...clock.range(from, to) })),
      breaks: cadence.breaks.map((frame) => clock.range(frame, frame + 1)),
    },
  };
}
