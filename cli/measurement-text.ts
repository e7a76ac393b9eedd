import type { Measurement } from '../jobs/measurement/measurement.js';
import { count } from '../jobs/words/numbers.js';
import { placeText } from '../jobs/words/places.js';
import { visible, wrap } from '../jobs/words/plain-text.js';
import { bytes } from '../jobs/words/quantities.js';
import { measuredGroups } from '../workers/report/measured-rows/measured-groups.js';
import type { Row } from '../workers/report/measured-rows/row.js';

/** As wide as a terminal that nobody widened. */
const WIDTH = 80;
const INDENT = 2;
const LABEL_WIDTH = 20;
/** Places told; the document holds them all. */
const PLACES = 20;

/**
 * A measurement for a person: one figure a row, in groups, at most 80 columns. The name of the file is never
 * broken.
 */
export function measurementText(measured: Measurement): string {
  const { file, events, unmeasured, exposure } = measured;
  const places = events
    .slice(0, PLACES)
    .map((event): Row => [event.kind, `${placeText(event)}: ${event.detail}`]);
  const rest = events.length - PLACES;
  if (rest > 0) places.push(['', `and ${count(rest, 'more place')}; --json has them all`]);
  const groups = [
    // It stands at the head already.
    ...measuredGroups(measured).map(({ title, rows }) => ({
      title,
      rows: rows.filter(([, value]) => value !== exposure?.advice),
    })),
    { title: 'Places', rows: places },
    { title: 'Not measured', rows: unmeasured.map(({ what, why }): Row => [what, why]) },
  ].filter(({ rows }) => rows.length > 0);
  return [
    `${visible(file.path)}, ${bytes(file.bytes)}`,
    ...(exposure === null ? [] : wrap(`Exposure: ${exposure.advice} (advice, no verdict)`, WIDTH)),
    ...groups.flatMap(({ title, rows }) => ['', title, ...rows.flatMap(rowLines)]),
  ].join('\n');
}

function rowLines([label, value]: Row): string[] {
  const margin = ' '.repeat(INDENT + LABEL_WIDTH);
  const lines = wrap(visible(value), WIDTH - margin.length);
  const head = `${' '.repeat(INDENT)}${visible(label).padEnd(LABEL_WIDTH)}`;
  // A label too long for its column has a line of its own.
  if (visible(label).length >= LABEL_WIDTH) return [head.trimEnd(), ...lines.map((line) => margin + line)];
  return lines.map((line, index) => (index === 0 ? head : margin) + line);
}
