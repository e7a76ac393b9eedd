import type { BatchItem } from '../../../../jobs/plan/batch.js';
import { type Html, html, name } from '../markup.js';

/** What making a file cost, a line each. */
export function lossList(losses: BatchItem['losses']): Html {
  return html`<ul>${losses.map(({ what, why }) => html`<li><b>${name(inWords(what))}</b>: ${name(why)}</li>`)}</ul>`;
}

/** `lossy-coding` is a key; people read `Lossy coding`. */
function inWords(key: string): string {
  const words = key.replaceAll('-', ' ');
  return `${words.charAt(0).toUpperCase()}${words.slice(1)}`;
}
