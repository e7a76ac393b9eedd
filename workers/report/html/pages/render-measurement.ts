import type { Measurement } from '../../../../jobs/measurement/measurement.js';
import { count } from '../../../../jobs/words/numbers.js';
import { placeText } from '../../../../jobs/words/places.js';
import { bytes } from '../../../../jobs/words/quantities.js';
import { measuredGroups } from '../../measured-rows/measured-groups.js';
import type { Row, RowGroup } from '../../measured-rows/row.js';
import { eventTitle } from '../event-titles.js';
import { type Html, type HtmlPart, html, name } from '../markup.js';
import { typeset } from '../typeset.js';

/** Everything measured of one file, and everything that could not be. Figures only, no opinion. */
export function renderMeasurement(measured: Measurement): Html {
  const groups = measuredGroups(measured).map(({ title, rows }) =>
    title === 'File'
      ? { title, rows: [['Size', bytes(measured.file.bytes)] as const, ...rows] }
      : { title, rows },
  );
  return html`<div class="scroll"><table class="figures">${groups.map(group)}</table></div>${notMeasured(measured)}${eventTable(measured)}`;
}

function group({ title, rows }: RowGroup): Html {
  return html`<tbody><tr><th scope="rowgroup" colspan="2" class="group">${title}</th></tr>${rows.map(
    ([label, value]: Row) => html`<tr><th scope="row">${label}</th><td>${name(typeset(value))}</td></tr>`,
  )}</tbody>`;
}

function notMeasured({ unmeasured }: Measurement): HtmlPart {
  if (unmeasured.length === 0) return null;
  return html`<p class="label">Not measured</p><ul>${unmeasured.map(
    ({ what, why }) => html`<li><b>${name(what)}</b>: ${name(why)}</li>`,
  )}</ul>`;
}

const EVENTS = 40;

function eventTable({ events }: Measurement): HtmlPart {
  if (events.length === 0) return null;
  const rest = events.length - EVENTS;
  return html`<p class="label">Events in the file</p><div class="scroll"><table class="stack events">
<thead><tr><th scope="col">Kind</th><th scope="col">Where</th><th scope="col">Detail</th></tr></thead>
<tbody>${events
    .slice(0, EVENTS)
    .map(
      (event) =>
        html`<tr><th scope="row">${name(eventTitle(event.kind))}</th><td>${placeText(event)}</td><td>${name(typeset(event.detail))}</td></tr>`,
    )}</tbody>
</table></div>${rest > 0 && html`<p>and ${count(rest, 'more event')}, all in the measurement file</p>`}`;
}
